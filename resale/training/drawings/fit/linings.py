"""The lining of a skirt, turned out: none, caught in part way, or its own slip that hangs free."""

from __future__ import annotations

from random import Random

from resale.training.drawings.cloth import filled, weave
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.materials import tile
from resale.training.drawings.palette import (
    BOLD,
    CLOTHS,
    INK,
    LINING,
    MEDIUM,
    SOFT_INK,
    arrow_line,
    label,
    mix,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, Point, Ref, Value, line, path, polyline, smooth

NONE = Answer("none", "None")
PART = Answer("part", "Caught in, part way")
KNEE = Answer("to_knee", "Front lined to the knee")
FULL = Answer("full", "All through, hanging free")
OFFERED = {1: (NONE, PART, FULL), 2: (NONE, PART, KNEE, FULL), 3: (NONE, PART, KNEE, FULL)}
APART = {1: 0.0, 2: 0.35, 3: 0.6}
"""How near the colour of the lining is to that of the cloth."""

MIDDLE, WAIST, HEM = 180.0, 34.0, 224.0
TOP_HALF, LOW_HALF = 58.0, 92.0
WHY = {
    "none": "Seams and the back of the cloth are all that is seen: it clings to tights.",
    "part": "The lining ends part way and its sides are caught in the seams: it saves cloth and "
    "pulls when one sits.",
    "to_knee": "Only the front is lined, down to the knee, and its edge is finished: the back "
    "shows cloth.",
    "full": "A slip of lining as wide as the skirt hangs free inside, a little shorter, with a "
    "hem of its own.",
}


def _half(y: float) -> float:
    return TOP_HALF + (LOW_HALF - TOP_HALF) * (y - WAIST) / (HEM - WAIST)


def _panel(top: float, low: float, left: float, right: float) -> list[Point]:
    """A part of the skirt between two heights; left and right as parts of its half width."""
    return [
        (MIDDLE + left * _half(top), top),
        (MIDDLE + right * _half(top), top),
        (MIDDLE + right * _half(low), low),
        (MIDDLE + left * _half(low), low),
    ]


def _skirt(colour: str) -> list[Node]:
    """Front behind, and the back opened like a door to look inside: seams and band."""
    pen: dict[str, Value] = {
        "stroke": INK,
        "stroke_width": BOLD,
        "stroke_linejoin": "round",
    }
    ink = shade(colour, 0.45)
    back_seams = [
        path(
            polyline(
                [(MIDDLE + side * (TOP_HALF - 9), WAIST), (MIDDLE + side * (LOW_HALF - 9), HEM)]
            ),
            stroke=ink,
            stroke_width=1.1,
            stroke_dasharray="1.6 2",
            fill="none",
            class_="allowance",
        )
        for side in (-1, 1)
    ]
    turned_up = _panel(HEM - 14, HEM, -1, 1)
    darts = [
        path(
            polyline(
                [(MIDDLE + x - 4, WAIST), (MIDDLE + x * 1.1, WAIST + 40), (MIDDLE + x + 4, WAIST)]
            ),
            fill="none",
            stroke=ink,
            stroke_width=1.2,
        )
        for x in (-26, 26)
    ]
    return [
        path(
            polyline(_panel(WAIST, HEM, -1, 1), closed=True),
            fill=filled("main"),
            class_="skirt",
            **pen,
        ),
        *back_seams,
        *darts,
        path(
            polyline(turned_up, closed=True),
            fill=shade(colour, -0.1),
            stroke=ink,
            stroke_width=1.1,
            class_="turned-up",
        ),
    ]


def _lining(truth: str, dice: Random) -> tuple[list[Node], float]:
    """The lining as it lies in the skirt, and how far down it goes."""
    low = {
        "part": WAIST + 92 + dice.uniform(-8, 8),
        "to_knee": WAIST + 128 + dice.uniform(-6, 6),
        "full": HEM - 22,
    }[truth]
    left, right = {"part": (-1, 1), "to_knee": (-1, 0.0), "full": (-0.9, 0.9)}[truth]
    outline = _panel(WAIST, low, left, right)
    pen: dict[str, Value] = {"stroke": INK, "stroke_width": MEDIUM, "stroke_linejoin": "round"}
    parts: list[Node] = [
        path(
            polyline(outline, closed=True),
            fill=Ref("tile-lining", as_url=True),
            class_="lining",
            **pen,
        )
    ]
    count = 3 if truth == "to_knee" else 5
    for k in range(1, count):
        t = left + (right - left) * k / count
        top, foot = (MIDDLE + t * _half(WAIST + 8), WAIST + 8), (MIDDLE + t * _half(low), low - 7)
        bend = ((top[0] + foot[0]) / 2 + dice.uniform(-3, 3), (top[1] + foot[1]) / 2)
        parts.append(
            path(
                smooth([top, bend, foot]), fill="none", stroke=mix(LINING, INK, 0.4), stroke_width=1
            )
        )
    if truth == "part":
        for side in (-1, 1):
            for k in range(9):
                y = WAIST + 8 + (low - WAIST - 12) * k / 8
                x = MIDDLE + side * (_half(y) - 3)
                parts.append(
                    line(
                        (x - 3, y - 2),
                        (x + 3, y + 2),
                        stroke=INK,
                        stroke_width=1.5,
                        class_="caught",
                    )
                )
    else:
        edge = [
            (MIDDLE + left * _half(low - 5), low - 5),
            (MIDDLE + right * _half(low - 5), low - 5),
        ]
        parts.append(
            path(
                polyline(edge),
                fill="none",
                stroke=INK,
                stroke_width=1.2,
                stroke_dasharray="4 2.4",
                class_="own-hem",
            )
        )
    return parts, low


def _band(colour: str) -> Node:
    return path(
        polyline(
            [
                (MIDDLE - TOP_HALF - 2, WAIST - 12),
                (MIDDLE + TOP_HALF + 2, WAIST - 12),
                (MIDDLE + TOP_HALF + 2, WAIST + 4),
                (MIDDLE - TOP_HALF - 2, WAIST + 4),
            ],
            closed=True,
        ),
        fill=shade(colour, 0.16),
        stroke=INK,
        stroke_width=BOLD,
        class_="band",
    )


def draw(level: int, dice: Random) -> Drawn:
    """Draw a skirt turned inside out.

    Parameters
    ----------
    level : int
        1 offers three ways; 2 and 3 four, with a lining in the colour of the cloth.
    dice : Random
        Chance of this exercise.
    """
    answers = OFFERED[level]
    truth = dice.choice(answers).id
    colour = CLOTHS[sorted(CLOTHS)[dice.randrange(len(CLOTHS))]]
    tint = mix(LINING, colour, APART[level])
    parts, low = ([], WAIST) if truth == "none" else _lining(truth, dice)
    x = MIDDLE + LOW_HALF + 26
    shown: list[Node] = (
        [shown_ring((MIDDLE, 120), 70, 40)]
        if truth == "none"
        else [arrow_line((x, WAIST), (x, low))]
    )
    halves = [
        line(
            (MIDDLE, WAIST + 4),
            (MIDDLE, HEM),
            stroke=INK,
            stroke_width=MEDIUM,
            class_="side-seam",
        ),
        label((MIDDLE - 46, 248), "front", text_anchor="middle", fill=SOFT_INK),
        label((MIDDLE + 46, 248), "back", text_anchor="middle", fill=SOFT_INK),
    ]
    return Drawn(
        question="How is this skirt lined?",
        title="A skirt turned inside out",
        description="A skirt turned inside out and laid with one side seam in the middle: half of "
        "its front to the left, half of its back to the right.",
        body=[
            *_skirt(colour),
            *parts,
            _band(colour),
            *halves,
            label((350, 24), "turned out", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            *shown,
            note((180, 270), words_of(answers, truth).lower(), text_anchor="middle", font_size=14),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=(weave("main", colour), tile("lining", tint=tint)),
        answers=answers,
        caution="Two layers glued together are one cloth and no lining.",
        height=280,
    )


FAMILY = Family(
    id="linings",
    name="Lining of a skirt",
    about="See how far a lining goes, and whether it hangs free or is caught in the seams.",
    zone="inside",
    signal_ids=("leg_lining",),
    draw=draw,
)
