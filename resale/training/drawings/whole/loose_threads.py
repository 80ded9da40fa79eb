"""Loose threads along a seam: none, a few or many, and what only looks like one."""

from __future__ import annotations

from math import cos, radians, sin
from random import Random

from resale.training.drawings.cloth import filled, stitch, weave
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    CLOTHS,
    INK,
    MEDIUM,
    SOFT_INK,
    label,
    mix,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, Point, circle, line, path, rect, smooth

LEFT, TOP, RIGHT, BOTTOM = 8.0, 8.0, 352.0, 232.0
SEAMS = (84.0, 166.0)
NONE = Answer("none", "None")
FEW = Answer("few", "A few: one to three")
MANY = Answer("many", "Many: six and more")
ANSWERS = (NONE, FEW, MANY)
COUNT = {"none": (0, 0), "few": (1, 3), "many": (6, 9)}
PLAIN = {1: 0.85, 2: 0.55, 3: 0.32}
"""How far a thread stands off from the cloth."""

HAIRS = {1: 0, 2: 3, 3: 6}
"""Single hairs of lining, which lie loose and run into no seam."""

WHY = {
    "none": "Every end is cut close or run in; whatever else lies there runs into no seam.",
    "few": "Counted along both seams: one to three tails that run into a seam.",
    "many": "Tails hang all along both seams: six and more. Nobody cut the ends.",
}


def _tail(dice: Random, start: Point, way: int, tint: str, name: str) -> Node:
    heading, run = 90.0 * way + dice.uniform(-30, 30), [start]
    for _ in range(4):
        heading += dice.uniform(-42, 42)
        x, y = run[-1]
        step = dice.uniform(6, 10)
        run.append((x + step * cos(radians(heading)), y + step * sin(radians(heading))))
    return path(
        smooth(run),
        fill="none",
        stroke=tint,
        stroke_width=1.9 if name == "tail" else 0.9,
        stroke_linecap="round",
        class_=name,
    )


def draw(level: int, dice: Random) -> Drawn:
    """Draw the inside of a thing with two seams.

    Parameters
    ----------
    level : int
        1 has plain threads; 2 and 3 fainter ones, and hairs of lining that are none.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    colour = CLOTHS[dice.choice(sorted(CLOTHS))]
    thread = mix(colour, dice.choice(("#fffdf8", INK)), PLAIN[level])
    count = dice.randint(*COUNT[truth])
    slots = dice.sample(range(22), count)
    starts = [(26 + 14.6 * s + dice.uniform(-3, 3), SEAMS[s % 2]) for s in slots]
    tails = [_tail(dice, at, dice.choice((-1, 1)), thread, "tail") for at in starts]
    hairs = [
        _tail(dice, (dice.uniform(30, 330), y), 1, mix(colour, INK, 0.35), "hair")
        for y in (dice.choice((38.0, 112.0, 196.0)) for _ in range(HAIRS[level]))
    ]
    seams: list[Node] = []
    for y in SEAMS:
        seams += [
            rect(LEFT, y - 1, RIGHT - LEFT, 5, fill=INK, fill_opacity=0.14),
            line(
                (LEFT, y), (RIGHT, y), stroke=shade(colour, 0.5), stroke_width=MEDIUM, class_="seam"
            ),
        ]
        seams += [
            stitch((x, y + 7), (x + 7, y + 7), shade(colour, -0.6), 1.8)
            for x in range(int(LEFT) + 5, int(RIGHT) - 8, 11)
        ]
    words = words_of(ANSWERS, truth)
    marks = [shown_ring((x, y), 9, 9) for x, y in starts] or [
        note((180, 128), "nothing runs into a seam", text_anchor="middle", font_size=12)
    ]
    return Drawn(
        question="How many loose threads do you enter?",
        title="Two seams from inside",
        description="The inside of a thing with two seams, seen close in good light.",
        body=[
            rect(
                LEFT,
                TOP,
                RIGHT - LEFT,
                BOTTOM - TOP,
                fill=filled("main"),
                stroke=INK,
                stroke_width=MEDIUM,
            ),
            *seams,
            *hairs,
            *tails,
            *(circle(at, 1.3, fill=thread, class_="root") for at in starts),
            label((350, 250), "from inside", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[*marks, note((150, 252), words.lower(), text_anchor="middle", font_size=14)],
        truth=truth,
        why=WHY[truth] + (" A single hair of lining is no thread." if level > 1 else ""),
        definitions=(weave("main", colour),),
        answers=ANSWERS,
    )


FAMILY = Family(
    id="loose_threads",
    name="Loose threads",
    about="Count the tails that run into a seam, and leave out the hairs that do not.",
    zone="inside",
    signal_ids=("loose_threads",),
    draw=draw,
)
