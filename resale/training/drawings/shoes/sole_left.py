"""A sole cut lengthwise: how much of its thickness is left under the ball of the foot."""

from __future__ import annotations

from math import exp
from random import Random

from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    FACE,
    FINE,
    INK,
    LEATHER,
    LEATHER_DARK,
    MEDIUM,
    RUBBER,
    SOFT_INK,
    arrow_line,
    label,
    note,
    shade,
)
from resale.training.drawings.svg import Node, Point, line, path, polyline, rect, words

LEFT, RIGHT = 46.0, 340.0
TOP = 118.0
THICK = {1: 84.0, 2: 72.0, 3: 60.0}
"""Thickness at the unworn waist, drawing units."""
TOLERANCE = {1: 5.0, 2: 7.0, 3: 10.0}
WAIST_X = 78.0


def _bottom(thick: float, left: float, ball: float, wide: float) -> list[Point]:
    """The underside from the waist to the toe; thinnest at the ball."""
    points = []
    for k in range(61):
        x = LEFT + (RIGHT - LEFT) * k / 60
        dip = exp(-(((x - ball) / wide) ** 4))
        if abs(x - ball) < (RIGHT - LEFT) / 120:
            dip = 1.0
        points.append((x, TOP + thick * (1 - (1 - left) * dip)))
    return points


def _scale(thick: float, millimetres: int, level: int) -> list[Node]:
    """An upright rule beside the sole, and at level 1 its lines carried across."""
    step = thick / millimetres
    parts: list[Node] = [
        rect(12, TOP - 8, 28, thick + 16, rx=2, fill="#e9d9b4", stroke=INK, stroke_width=MEDIUM)
    ]
    for k in range(millimetres + 1):
        y = TOP + k * step
        long = k % 5 == 0
        parts.append(
            line((40, y), (40 - (10 if long else 6), y), stroke=INK, stroke_width=FINE,
                 class_="tick")
        )  # fmt: skip
        if long:
            parts.append(
                words((27, y + 4), str(k), font_family=FACE, font_size=10, fill=INK,
                      text_anchor="end", class_="tick-label")
            )  # fmt: skip
        if level == 1:
            parts.append(line((40, y), (RIGHT, y), stroke=INK, stroke_width=0.6,
                              stroke_opacity=0.45, stroke_dasharray="1 3",
                              class_="rule"))  # fmt: skip
    parts.append(label((26, TOP - 14), "mm", text_anchor="middle", font_size=10, fill=SOFT_INK))
    return parts


def _above() -> list[Node]:
    upper = (
        f"M{LEFT} {TOP - 12}V34C110 20 180 44 236 58C300 72 336 78 340 {TOP - 14}L340 {TOP - 12}Z"
    )
    return [
        path(upper, fill=LEATHER_DARK, stroke=INK, stroke_width=MEDIUM, stroke_linejoin="round"),
        *(
            path(f"M{x} {y}q8 10 4 26", fill="none", stroke=shade(LEATHER_DARK, -0.3),
                 stroke_width=1.2)
            for x, y in ((196, 56), (214, 60), (230, 66))
        ),
        rect(LEFT, TOP - 12, RIGHT - LEFT, 12, fill="#d8b78c", stroke=INK, stroke_width=MEDIUM),
    ]  # fmt: skip


def draw(level: int, dice: Random) -> Drawn:
    """Draw the forepart of a sole from waist to toe."""
    thick = THICK[level]
    millimetres = dice.choice((8, 10)) if level < 3 else 10
    if level == 1:
        left = dice.randint(1, millimetres - 1) / millimetres
    else:
        left = dice.randint(4, 37) * 2.5 / 100
    ball = LEFT + (RIGHT - LEFT) * dice.randint(33, 39) / 60
    material = dice.choice((LEATHER, RUBBER))
    profile = _bottom(thick, left, ball, dice.uniform(58, 72))
    outline = [(LEFT, TOP), *profile, (RIGHT, TOP)]
    percent = round(left * 100, 6)
    thin = TOP + thick * left
    body = [
        *_above(),
        path(polyline(outline, closed=True), fill=material, stroke=INK, stroke_width=MEDIUM,
             stroke_linejoin="round", class_="outsole"),
        line((8, TOP + thick + 2), (352, TOP + thick + 2), stroke=INK, stroke_width=BOLD,
             stroke_opacity=0.6),
        label((WAIST_X, TOP + thick + 20), "waist, unworn", text_anchor="middle", font_size=11,
              fill=SOFT_INK),
        label((ball, TOP + thick + 20), "ball", text_anchor="middle", font_size=11, fill=SOFT_INK),
        label((RIGHT, TOP + thick + 20), "toe", text_anchor="end", font_size=11, fill=SOFT_INK),
    ]  # fmt: skip
    if level < 3:
        body += _scale(thick, millimetres, level)
    shown = [
        arrow_line((WAIST_X, TOP), (WAIST_X, TOP + thick)),
        arrow_line((ball, TOP), (ball, thin)),
        note((WAIST_X + 8, TOP + thick / 2 + 4), "100"),
        note((ball + 6, TOP - 22), f"{percent:g} %", font_size=15),
    ]  # fmt: skip
    return Drawn(
        question="What share of the sole's thickness is left at its thinnest, in percent?",
        title="The forepart of a sole, cut lengthwise",
        description="A shoe cut lengthwise from the waist to the toe: the sole is unworn at the "
        "waist and thinner under the ball of the foot.",
        body=body,
        shown=shown,
        truth=percent,
        why=f"The waist does not touch the ground, so it shows the full thickness; under the ball "
        f"{percent:g} % of it is left.",
        unit="%",
        tolerance=TOLERANCE[level],
        height=TOP + thick + 34,
    )


FAMILY = Family(
    id="sole_left",
    name="Sole left",
    about="Judge how much of a sole is left against the unworn waist.",
    zone="sole",
    signal_ids=("sole_left",),
    draw=draw,
)
