"""Cloth folded up in a hem, measured from inside: what could be let down."""

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
    mix,
    note,
    shade,
)
from resale.training.drawings.svg import Node, Point, line, path, polyline, rect

PER_MM = 3.2
DEEP = {1: (10, 70), 2: (12, 68), 3: (18, 66)}
"""Millimetres folded up, from and to."""

BEFORE = {1: (0, 0), 2: (4, 12), 3: (5, 14)}
"""Millimetres of the ruler that lie before the lower edge."""

NEEDED = 10
"""Millimetres that a new hem takes: common practice, no source."""

EDGE_X, TOP, LOW, RULER_Y = 54.0, 16.0, 214.0, 92.0
FAR = 352.0


def _skirt(fold: float, colour: str, dice: Random) -> list[Node]:
    """The inside of a skirt with its lower edge to the left, and the fold with its stitches."""
    ink = mix(colour, INK, 0.55)
    end = EDGE_X + fold
    folded: list[Point] = [(EDGE_X, TOP), (end, TOP), (end, LOW), (EDGE_X, LOW)]
    stitches = [
        line(
            (end - 4, y),
            (end + 5, y + dice.uniform(4, 7)),
            stroke=shade(colour, -0.6),
            stroke_width=1.8,
            stroke_linecap="round",
        )
        for y in (TOP + 9 + 15.0 * k for k in range(13))
    ]
    return [
        rect(EDGE_X, TOP, FAR - EDGE_X, LOW - TOP, fill=filled("main"), class_="inside"),
        path(
            polyline(folded, closed=True),
            fill=shade(colour, 0.13),
            stroke=ink,
            stroke_width=MEDIUM,
            class_="folded",
        ),
        path(f"M{FAR:g} {TOP:g}H{EDGE_X:g}", stroke=INK, stroke_width=MEDIUM, fill="none"),
        path(f"M{FAR:g} {LOW:g}H{EDGE_X:g}", stroke=INK, stroke_width=MEDIUM, fill="none"),
        line(
            (EDGE_X, TOP), (EDGE_X, LOW), stroke=INK, stroke_width=BOLD + 0.8, class_="lower-edge"
        ),
        *stitches,
    ]


def draw(level: int, dice: Random) -> Drawn:
    """Draw the inside of a hem with a ruler on it.

    Parameters
    ----------
    level : int
        1 has the ruler's nought at the edge, 2 before it; 3 asks what may be let down.
    dice : Random
        Chance of this exercise.
    """
    deep = dice.randint(*DEEP[level])
    before = dice.randint(*BEFORE[level])
    colour = CLOTHS[dice.choice(sorted(CLOTHS))]
    fold = deep * PER_MM
    start = EDGE_X - before * PER_MM
    steps = int((344 - start) / PER_MM)
    lets = level == 3
    end = EDGE_X + fold
    read = (
        f"The ruler says {before} at the lower edge and {before + deep} at the end of the fold: "
        f"{deep} mm."
        if before
        else f"From the lower edge to the end of the fold it is {deep} mm."
    )
    more = f" A new hem takes about {NEEDED} mm of it: {deep - NEEDED} mm longer." if lets else ""
    return Drawn(
        question=f"By how many millimetres can it be let down, if a new hem takes {NEEDED} mm?"
        if lets
        else "How much cloth is folded up inside the hem, in millimetres?",
        title="The inside of a hem with a ruler",
        description="A skirt turned inside out, its lower edge to the left, with the cloth that is "
        "folded up and a ruler in millimetres laid across it.",
        body=[
            *_skirt(fold, colour, dice),
            ruler(
                (start, RULER_Y),
                steps * PER_MM,
                PER_MM,
                steps_to_long=10,
                steps_to_middle=5,
                numbers=1,
                height=36,
            ),
            label((348, RULER_Y + 52), "in mm", text_anchor="end", font_size=11),
            label((14, 236), "lower edge", font_size=11, fill=SOFT_INK),
            label((350, 236), "towards the waist", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            arrow_line((EDGE_X, 72), (end, 72)),
            note(((EDGE_X + end) / 2, 62), f"{deep} mm", text_anchor="middle", font_size=14),
        ],
        truth=float(deep - NEEDED if lets else deep),
        why=read + more,
        definitions=(weave("main", colour),),
        unit="mm",
        tolerance=1.0,
        caution="The old crease may stay as a worn line, above all on dark cotton.",
        height=246,
    )


FAMILY = Family(
    id="hem_depths",
    name="What could be let down",
    about="Measure the cloth folded into a hem, and take off what a new hem needs.",
    zone="hem",
    signal_ids=("hem_depth",),
    draw=draw,
)
