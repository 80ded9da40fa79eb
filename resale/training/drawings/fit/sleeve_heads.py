"""How a sleeve is set: by its head from outside, and by the lining inside the armhole."""

from __future__ import annotations

from math import cos, pi, sin
from random import Random

from resale.training.drawings.cloth import filled, stitch, weave
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    CLOTHS,
    INK,
    LINING,
    MEDIUM,
    SOFT_INK,
    label,
    mix,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, Point, Value, path, polyline, smooth

STRAINED = Answer("strained", "Flat, with drag lines")
MACHINE = Answer("machine_clean", "Smooth, by machine")
HAND = Answer("hand_set", "Set by hand")
ANSWERS = (STRAINED, MACHINE, HAND)
RIPPLED = {1: 0.0, 2: 0.3, 3: 0.6}
"""How often ripples were pressed into a head that a machine set."""

FAINT = {1: 0.58, 2: 0.42, 3: 0.3}
ARMHOLE: list[Point] = [(138, 54), (132, 84), (122, 116), (102, 146)]
HOLE: Point = (272.0, 118.0)
HX, HY = 58.0, 76.0
WHY = {
    "strained": "Lines pull from the head down the sleeve: too little cloth was eased in, and the "
    "arm pays for it.",
    "machine_clean": "A smooth head, and inside even stitches all round: clean, and quick.",
    "hand_set": "A full head with soft ripples, and inside the lining is closed by small uneven "
    "stitches: a hand eased it in.",
}
PRESSED = "The ripples are pressed in: inside the stitches are even all round, so a machine set it."


def _shoulder() -> list[Node]:
    """One shoulder from the front: body with its lapel, and the sleeve."""
    pen: dict[str, Value] = {
        "stroke": INK,
        "stroke_width": BOLD,
        "stroke_linejoin": "round",
    }
    side = [ARMHOLE[-1], (104.0, 190.0), (106.0, 230.0)]
    body = "M14 230L14 78" + "L" + polyline([(44, 26), (62, 30), ARMHOLE[0]])[1:]
    body += "L" + smooth(ARMHOLE)[1:] + "L" + smooth(side)[1:] + "Z"
    outer: list[Point] = [ARMHOLE[0], (158, 70), (176, 112), (186, 170), (190, 228)]
    inner: list[Point] = [(134, 234), (122, 180), ARMHOLE[-1]]
    sleeve = smooth(outer) + "L" + smooth(inner)[1:] + "L" + smooth(ARMHOLE[::-1])[1:] + "Z"
    lapel = polyline([(62, 30), (40, 92), (54, 100), (46, 108), (14, 196)])
    return [
        path(body, fill=filled("main"), class_="body", **pen),
        path(sleeve, fill=filled("sleeve"), class_="sleeve", **pen),
        path(lapel, fill="none", stroke=INK, stroke_width=MEDIUM),
        path("M44 26L30 84L40 92", fill="none", stroke=INK, stroke_width=MEDIUM),
    ]


def _drags(ink: str) -> list[Node]:
    """Lines that pull from the armhole down across the sleeve."""
    return [
        path(
            smooth([(134 - 4 * k, 76 + 19 * k), (151 - 2 * k, 92 + 22 * k), (172, 104 + 27 * k)]),
            fill="none",
            stroke=ink,
            stroke_width=1.7,
            stroke_linecap="round",
            class_="drag",
        )
        for k in range(4)
    ]


def _ripples(ink: str, dice: Random) -> list[Node]:
    """Short soft folds where the cloth of the sleeve was eased into the armhole."""
    found: list[Node] = []
    for k in range(7):
        x, y = 136 - 1.6 * k, 64 + 8.4 * k
        far = (x + 19 - k, y + 7 + 2.2 * k + dice.uniform(-1.5, 1.5))
        found.append(
            path(
                smooth([(x + 1, y), ((x + far[0]) / 2, (y + far[1]) / 2 - 2), far]),
                fill="none",
                stroke=ink,
                stroke_width=2.2,
                stroke_linecap="round",
                class_="ripple",
            )
        )
    return found


def _inside(by_hand: bool, thread: str, dice: Random) -> list[Node]:
    """The armhole from inside, its lining closed all round."""
    x, y = HOLE

    def at(angle: float, part: float) -> Point:
        return x + HX * part * cos(angle), y + HY * part * sin(angle)

    ring = [at(2 * pi * k / 40, 1.0) for k in range(40)]
    hole = [at(2 * pi * k / 40, 0.62) for k in range(40)]
    parts = [
        path(
            smooth(ring, closed=True),
            fill=LINING,
            stroke=INK,
            stroke_width=MEDIUM,
            class_="lining",
        ),
        path(smooth(hole, closed=True), fill=shade(LINING, 0.5), stroke=INK, stroke_width=MEDIUM),
    ]
    count = 30 if by_hand else 38
    for k in range(count):
        angle = 2 * pi * (k + (dice.uniform(-0.3, 0.3) if by_hand else 0.0)) / count
        lean = dice.uniform(0.05, 0.1) if by_hand else 0.055
        inner, outer = (0.74, dice.uniform(0.8, 0.87)) if by_hand else (0.78, 0.78)
        parts.append(
            stitch(
                at(angle - lean, inner),
                at(angle + lean, outer),
                thread,
                1.9,
                class_="lining-stitch",
            )
        )
    return parts


def draw(level: int, dice: Random) -> Drawn:
    """Draw a sleeve from outside and its armhole from inside.

    Parameters
    ----------
    level : int
        At higher levels lines are fainter, and ripples may be pressed into a machine's sleeve.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    colour = CLOTHS[sorted(CLOTHS)[dice.randrange(len(CLOTHS))]]
    pressed = truth == "machine_clean" and dice.random() < RIPPLED[level]
    ink = mix(colour, INK, FAINT[level])
    thread = mix(LINING, INK, FAINT[level] + 0.15)
    by_hand = truth == "hand_set"
    return Drawn(
        question="How is this sleeve set?",
        title="A sleeve, and its armhole from inside",
        description="To the left a shoulder with the head of its sleeve; to the right the same "
        "armhole turned out, with the line where its lining is closed.",
        body=[
            *_shoulder(),
            *(_drags(ink) if truth == "strained" else []),
            *(_ripples(ink, dice) if by_hand or pressed else []),
            *_inside(by_hand, thread, dice),
            label((100, 250), "from the front", text_anchor="middle", fill=SOFT_INK),
            label((HOLE[0], 250), "armhole, turned out", text_anchor="middle", fill=SOFT_INK),
        ],
        shown=[
            shown_ring((150, 88), 36, 44),
            shown_ring(HOLE, HX * 0.96, HY * 0.96),
            note((350, 24), words_of(ANSWERS, truth).lower(), text_anchor="end", font_size=14),
        ],
        truth=truth,
        why=PRESSED if pressed else WHY[truth],
        definitions=(weave("main", colour), weave("sleeve", shade(colour, 0.07))),
        answers=ANSWERS,
        caution="A shoulder without a pad is a style and no saving.",
        height=258,
    )


FAMILY = Family(
    id="sleeve_heads",
    name="How a sleeve is set",
    about="Judge a sleeve by its head, and let the stitches inside the armhole decide.",
    zone="shoulder",
    signal_ids=("sleeve_set",),
    draw=draw,
)
