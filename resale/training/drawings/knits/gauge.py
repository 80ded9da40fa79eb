"""How fine it is knitted: columns of loops counted along a tape."""

from __future__ import annotations

from random import Random

from resale.training.drawings.cloth import clip, clipped, ruler
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    CLOTHS,
    INK,
    MEDIUM,
    SOFT_INK,
    arrow_line,
    label,
    note,
    shade,
)
from resale.training.drawings.surfaces.loops import loops
from resale.training.drawings.svg import Node, Point, group, line, path, rect

LEFT, SPAN = 30.0, 276.0
"""Where the counting begins, and how long 5 cm are on the sheet."""

COUNTED = {1: (9, 12), 2: (12, 16), 3: (15, 20)}
"""Columns in 5 cm, from and to."""

TOP, LOW, TAPE = 52.0, 188.0, 196.0
PER_CM = SPAN / 5


def _field(columns: int, colour: str, dice: Random) -> list[Node]:
    """Knitting that runs on past both marks."""
    wide = SPAN / columns
    high = wide * dice.uniform(0.72, 0.82)
    beyond = int(LEFT / wide) + 1
    corner: Point = (LEFT - beyond * wide, TOP - high * 0.6)
    rows = int((LOW - TOP) / high) + 3
    return loops(corner, (columns + 2 * beyond + 1, rows), (wide, high), colour)


def _marks() -> list[Node]:
    """Where the counting begins and ends, carried up from the tape."""
    found: list[Node] = []
    for x in (LEFT, LEFT + SPAN):
        found.append(
            line(
                (x, TOP - 4),
                (x, TAPE),
                stroke=INK,
                stroke_width=2.0,
                stroke_dasharray="5 4",
                class_="gauge-mark",
            )
        )
        found.append(path(f"M{x - 6:g} 36L{x + 6:g} 36L{x:g} 47Z", fill=INK))
    return found


def draw(level: int, dice: Random) -> Drawn:
    """Draw plain knitting with a tape laid along a row.

    Parameters
    ----------
    level : int
        1 asks what lies between the marks; 2 and 3 what that is in 10 cm, of finer knitting.
    dice : Random
        Chance of this exercise.
    """
    columns = dice.randint(*COUNTED[level])
    colour = CLOTHS[dice.choice(sorted(CLOTHS))]
    wide = SPAN / columns
    doubled = level > 1
    inch = columns / 5 * 2.54
    said = f"{columns} columns of small Vs in 5 cm"
    why = f"{said}, so {2 * columns} in 10 cm and {inch:.1f} to the inch."
    middles = [LEFT + (k + 0.5) * wide for k in range(columns)]
    return Drawn(
        question="How many stitches lie side by side in 10 cm?"
        if doubled
        else "How many stitches lie side by side between the two marks?",
        title="Plain knitting with a tape",
        description="Plain knitting seen close, from its face, a tape laid along one row, and two "
        "marks on it.",
        body=[
            group(
                rect(0, TOP, 360, LOW - TOP, fill=shade(colour, 0.5)),
                *_field(columns, colour, dice),
                clip_path=clipped("knit"),
            ),
            path(f"M0 {TOP:g}H360M0 {LOW:g}H360", stroke=INK, stroke_width=MEDIUM, fill="none"),
            *_marks(),
            ruler(
                (LEFT, TAPE),
                SPAN + PER_CM / 2,
                PER_CM / 10,
                steps_to_long=10,
                steps_to_middle=5,
                numbers=10,
                unit="cm",
            ),
            label((350, 20), "face, at rest", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            arrow_line((LEFT, 118), (LEFT + SPAN, 118)),
            *(
                note((x, 104 if k % 2 else 92), str(k), text_anchor="middle", font_size=10)
                for k, x in enumerate(middles, start=1)
            ),
            note((180, 254), said, text_anchor="middle", font_size=14),
        ],
        truth=float(2 * columns if doubled else columns),
        why=why,
        definitions=(clip("knit", rect(0, TOP, 360, LOW - TOP)),),
        unit="stitches",
        # One column half hidden by a mark is nobody's fault.
        tolerance=2.0 if doubled else 1.0,
        caution="A rib shows half of its columns: count on plain knitting.",
        height=264,
    )


FAMILY = Family(
    id="knit_gauge",
    name="Stitches in ten centimetres",
    about="Count columns of loops along a tape, and say how fine a piece is knitted.",
    zone="cloth",
    signal_ids=("knit_gauge",),
    draw=draw,
)
