"""Cloth beyond the centre-back seam: measure it, and say what can be let out."""

from __future__ import annotations

from random import Random

from resale.garments.measures.allowance import KEEP_SEAM_MM, waist_reach
from resale.training.drawings.cloth import filled, ruler, stitch, weave
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
    shown_line,
)
from resale.training.drawings.svg import Node, Point, line, path, polyline, rect

LEFT, RIGHT, TOP, BOTTOM = 8.0, 352.0, 10.0, 240.0
BAND = 44.0
SEAM_X = 180.0
# Level with the top of the seam: lower down a tapering allowance is narrower than the waist has.
RULER_Y = BAND + 14.0
SCALE = {1: 4.0, 2: 3.6, 3: 3.6}
"""Drawing units to the millimetre."""
# A waist to work the sum on; only the difference counts.
WAIST_FLAT_CM = 40.0


def _edge_at(y: float, allowance: float, scale: float, taper: float) -> float:
    """How far the cut edge lies from the seam at a height; it is measured at the ruler."""
    return (allowance - taper * (y - RULER_Y) / 100) * scale


def _panel_line(side: int) -> list[Point]:
    return [
        (SEAM_X, BAND),
        (SEAM_X, BOTTOM),
        (SEAM_X + side * 172, BOTTOM),
        (SEAM_X + side * 172, BAND),
    ]


def _trousers(colour: str, allowance: float, scale: float, taper: float) -> list[Node]:
    parts: list[Node] = []
    for side in (-1, 1):
        parts.append(
            path(
                polyline(_panel_line(side), closed=True),
                fill=filled("inside"),
                stroke=INK,
                stroke_width=MEDIUM,
            )
        )
        top, low = (_edge_at(y, allowance, scale, taper) for y in (BAND, BOTTOM))
        outline = [
            (SEAM_X, BAND),
            (SEAM_X + side * top, BAND),
            (SEAM_X + side * low, BOTTOM),
            (SEAM_X, BOTTOM),
        ]
        shadow = [(x + side * 2.5, y + 1.5) for x, y in outline[1:3]]
        name = "right" if side > 0 else "left"
        parts += [
            path(polyline(shadow), stroke=INK, stroke_width=4, stroke_opacity=0.18),
            path(
                polyline(outline, closed=True),
                fill=shade(colour, -0.25 - 0.06 * side),
                stroke=INK,
                stroke_width=MEDIUM,
                class_=f"allowance {name}",
            ),
        ]
        parts += _overlock(side, top, low, colour)
    parts.append(
        line((SEAM_X, BAND), (SEAM_X, BOTTOM), stroke=INK, stroke_width=BOLD, class_="seam")
    )
    y = BAND + 6
    while y + 6 < BOTTOM:
        parts.append(stitch((SEAM_X, y), (SEAM_X, y + 5), "#f7f0e0", 1.6, class_="stitch"))
        y += 9
    band = rect(
        LEFT,
        TOP,
        RIGHT - LEFT,
        BAND - TOP,
        fill=shade(colour, 0.2),
        stroke=INK,
        stroke_width=MEDIUM,
    )
    seam = line((SEAM_X, TOP), (SEAM_X, BAND), stroke=INK, stroke_width=MEDIUM)
    return [*parts, band, seam]


def _overlock(side: int, top: float, low: float, colour: str) -> list[Node]:
    """Loops over the cut edge, inside it, so that the edge itself stays sharp."""
    runs = []
    y = BAND + 3
    while y + 7 < BOTTOM:
        here = top + (low - top) * (y - BAND) / (BOTTOM - BAND)
        x = SEAM_X + side * (here - 1)
        runs.append(
            f"M{x - side * 8:.1f} {y:.1f}L{x:.1f} {y + 2:.1f}L{x - side * 8:.1f} {y + 6:.1f}"
        )
        y += 7
    return [path("".join(runs), stroke=shade(colour, 0.4), stroke_width=0.9, fill="none")]


def _ruler(dice: Random, level: int, scale: float) -> Node:
    """Nought on the seam at level 1; anywhere after that."""
    before = 0 if level == 1 else dice.randint(6, 14)
    length = int((RIGHT - 16 - SEAM_X) / scale + before) * scale
    return ruler(
        (SEAM_X - before * scale, RULER_Y),
        length,
        scale,
        steps_to_long=10,
        steps_to_middle=5,
        numbers=1,
        height=38,
        unit="mm",
    )


def _shown(allowance: float, scale: float, level: int) -> list[Node]:
    edge = SEAM_X + allowance * scale
    shown: list[Node] = [
        shown_line(f"M{SEAM_X} {BAND - 6}V{RULER_Y}M{edge:.2f} {BAND - 6}V{RULER_Y}", 1.6),
        arrow_line((SEAM_X, RULER_Y - 6), (edge, RULER_Y - 6)),
        note((SEAM_X + 5, BAND - 10), f"{allowance:g} mm"),
    ]
    if level > 1 and allowance > KEEP_SEAM_MM:
        keep, below = edge - KEEP_SEAM_MM * scale, 50.0
        shown += [
            shown_line(f"M{keep:.2f} {RULER_Y}v{below:g}M{edge:.2f} {RULER_Y}v{below:g}", 1.6),
            note(
                (edge - KEEP_SEAM_MM * scale / 2, RULER_Y + below + 13),
                "10 stay",
                text_anchor="middle",
                font_size=10,
            ),
        ]
    return shown


def draw(level: int, dice: Random) -> Drawn:
    """Draw the inside of a trouser seat with a ruler across the seam.

    Parameters
    ----------
    level : int
        1 asks for whole millimetres, 2 and 3 for halves and for what can be let out; at 3 the
        allowance tapers.
    dice : Random
        Chance of this exercise.
    """
    scale = SCALE[level]
    allowance = float(dice.randint(12, 36)) if level == 1 else dice.randint(22, 78) / 2
    taper = dice.uniform(6, 11) if level == 3 else 0.0
    colour = CLOTHS[dice.choice(sorted(CLOTHS))]
    let_out = float(waist_reach(WAIST_FLAT_CM, allowance).let_out_cm) * 10
    body = [
        *_trousers(colour, allowance, scale, taper),
        _ruler(dice, level, scale),
        label((LEFT + 6, TOP + 21), "waistband", fill="#fbf6ea"),
        label(
            (RIGHT - 2, 256),
            "seat seam from the inside, allowances laid open",
            text_anchor="end",
            font_size=11,
            fill=SOFT_INK,
        ),
    ]
    question = "How wide is the seam allowance to the right of the seam, in millimetres?"
    why = f"From the stitching to the cut edge the ruler says {allowance:g} mm."
    if level > 1:
        question = (
            "By how many millimetres round can this waist be let out, keeping 10 mm of allowance "
            "on each side?"
        )
        why += (
            f" Keep 10 on each side: 2 x ({allowance:g} - 10) = {let_out:g} mm round, if the "
            "waistband has its own spare."
        )
    if level == 3:
        question = question.replace("this waist", "this waist, measured level with the top,")
    return Drawn(
        question=question,
        title="The seat seam of trousers from the inside",
        description="The centre-back seam from the inside with its allowances laid open to both "
        "sides, alike, and a ruler across them level with the top, just under the waistband.",
        body=body,
        shown=_shown(allowance, scale, level),
        truth=allowance if level == 1 else round(let_out, 6),
        why=why,
        definitions=(weave("inside", colour, twill=True),),
        unit="mm",
        tolerance=1.0 if level == 1 else 2.0,
    )


FAMILY = Family(
    id="allowance",
    name="Seam allowance",
    about="Measure the allowance at the seat seam and work out what can be let out.",
    zone="waist",
    signal_ids=("seat_allowance",),
    draw=draw,
)
