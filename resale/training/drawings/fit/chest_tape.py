"""A jumper laid flat with a tape across the chest."""

from __future__ import annotations

from random import Random

from resale.training.drawings.cloth import filled, ruler, weave
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    CLOTHS,
    INK,
    MEDIUM,
    SOFT_INK,
    arrow_line,
    label,
    note,
    shade,
)
from resale.training.drawings.svg import Node, Point, circle, path, polyline, smooth

PER_CM = 4.2
CHEST = (42, 58)
"""Centimetres from pit to pit, from and to."""

BEFORE = {1: (0, 0), 2: (4, 10), 3: (3, 9)}
"""Centimetres of the tape that lie before the left pit."""

BY = {1: 1.0, 2: 1.0, 3: 0.5}
"""Steps in which chests are drawn, in centimetres."""

MIDDLE, PIT_Y, TAPE_Y = 180.0, 100.0, 106.0


def _jumper(half: float, colour: str) -> list[Node]:
    """Body and sleeves, pits at the height of the tape."""
    left: list[Point] = [
        (MIDDLE - 28, 24),
        (MIDDLE - half * 0.86, 40),
        (MIDDLE - half - 36, 172),
        (MIDDLE - half - 12, 182),
        (MIDDLE - half, PIT_Y),
        (MIDDLE - half + 2, 222),
    ]
    right: list[Point] = [(2 * MIDDLE - x, y) for x, y in reversed(left)]
    neck = [(MIDDLE + 28, 24), (MIDDLE, 36), (MIDDLE - 28, 24)]
    d = polyline([*left, *right]) + "L" + smooth(neck)[1:] + "Z"
    rib = shade(colour, 0.16)
    return [
        path(d, fill=filled("main"), stroke=INK, stroke_width=BOLD, stroke_linejoin="round"),
        path(smooth([(MIDDLE + 28, 24), (MIDDLE, 42), (MIDDLE - 28, 24)]), fill="none", stroke=INK),
        path(
            polyline(
                [
                    (MIDDLE - half + 2, 210),
                    (MIDDLE + half - 2, 210),
                    (MIDDLE + half - 2, 222),
                    (MIDDLE - half + 2, 222),
                ],
                closed=True,
            ),
            fill=rib,
            stroke=INK,
            stroke_width=MEDIUM,
        ),
        *(circle((MIDDLE + side * half, PIT_Y), 3.2, fill=INK, class_="pit") for side in (-1, 1)),
    ]


def draw(level: int, dice: Random) -> Drawn:
    """Draw a jumper with a tape from pit to pit.

    Parameters
    ----------
    level : int
        1 has the tape's nought at one pit; at 2 and 3 it begins before it, at 3 between figures.
    dice : Random
        Chance of this exercise.
    """
    steps = int((CHEST[1] - CHEST[0]) / BY[level])
    wide = CHEST[0] + BY[level] * dice.randint(0, steps)
    before = dice.randint(*BEFORE[level])
    colour = CLOTHS[dice.choice(sorted(CLOTHS))]
    half = wide * PER_CM / 2
    left = MIDDLE - half
    start = left - before * PER_CM
    long = (before + wide + 3) * PER_CM
    at = before + wide
    return Drawn(
        question="How wide is the chest, laid flat, in centimetres?",
        title="A jumper laid flat with a tape",
        description="A jumper laid flat, smoothed and not pulled, with a tape across it just below "
        "the armholes. A dot marks each armhole's lowest point.",
        body=[
            *_jumper(half, colour),
            ruler(
                (start, TAPE_Y),
                long,
                PER_CM,
                steps_to_long=10,
                steps_to_middle=5,
                numbers=1,
                height=32,
            ),
            label((350, 250), "smoothed", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            arrow_line((left, 90), (MIDDLE + half, 90)),
            note((MIDDLE, 84), f"{wide:g} cm", text_anchor="middle", font_size=14),
        ],
        truth=float(wide),
        why=f"The tape says {before:g} at one pit and {at:g} at the other: {wide:g} cm from pit to "
        "pit."
        if before
        else f"The tape begins at one pit and says {wide:g} at the other.",
        definitions=(weave("main", colour),),
        unit="cm",
        tolerance=0.5 if level == 3 else 1.0,
        caution="Tight things are measured unstretched; twice this is the girth.",
        height=258,
    )


FAMILY = Family(
    id="chest_tape",
    name="Chest, laid flat",
    about="Read a tape from pit to pit, wherever its nought lies.",
    zone="whole",
    signal_ids=("chest_flat",),
    draw=draw,
)
