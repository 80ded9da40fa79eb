"""A sole cut lengthwise: how much of its thickness is left under the ball of the foot.

The insole dips from the waist to the ball and rises to the toe, as on a last; use takes off what
lies below the ground that the shoe stands on, so wear is flat and the waist keeps its thickness.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi
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
    PAPER,
    RUBBER,
    SOFT_INK,
    arrow_line,
    label,
    note,
    shade,
)
from resale.training.drawings.svg import Node, Point, Value, line, path, polyline, rect, words

LEFT, RIGHT = 46.0, 340.0
TOP, DIP, SPRING = 94.0, 82.0, 0.5
"""Insole at the waist, how far the ball lies below it, and the share of that the toe springs up."""
THICK = {1: 60.0, 2: 56.0, 3: 48.0}
"""Thickness at the unworn waist, drawing units."""
TOLERANCE = {1: 5.0, 2: 7.0, 3: 10.0}
WAIST_X = 66.0
INSOLE = 11.0


@dataclass(frozen=True, slots=True)
class Sole:
    """One worn sole: thickness where it is new, share left at the ball, and where that is."""

    thick: float
    left: float
    ball: float

    def top(self, x: float) -> float:
        """Height of the insole's underside."""
        if x <= self.ball:
            return TOP + DIP * (1 - cos(pi * (x - LEFT) / (self.ball - LEFT))) / 2
        rise = (1 - cos(pi * (x - self.ball) / (RIGHT - self.ball))) / 2
        return TOP + DIP * (1 - SPRING * rise)

    @property
    def ground(self) -> float:
        """Height of the ground: what lay below it is worn off."""
        return TOP + DIP + self.thick * self.left

    def outline(self) -> list[Point]:
        """Upper face from waist to toe, and the underside back."""
        xs = sorted({LEFT + (RIGHT - LEFT) * k / 80 for k in range(81)} | {self.ball})
        upper = [(x, self.top(x)) for x in xs]
        return upper + [(x, min(y + self.thick, self.ground)) for x, y in reversed(upper)]


def _ticks(x: float, top: float, thick: float, millimetres: int, *, named: bool) -> list[Node]:
    parts: list[Node] = []
    for k in range(millimetres + 1):
        y = top + k * thick / millimetres
        long = k % 5 == 0
        parts.append(
            line((x, y), (x - (10 if long else 6), y), stroke=INK, stroke_width=FINE, class_="tick")
        )
        if long and named:
            parts.append(
                words(
                    (x - 13, y + 4),
                    str(k),
                    font_family=FACE,
                    font_size=10,
                    fill=INK,
                    text_anchor="end",
                    class_="tick-label",
                )
            )
    return parts


def _rule_at_waist(thick: float, millimetres: int) -> list[Node]:
    """An upright rule beside the waist."""
    return [
        rect(12, TOP - 8, 28, thick + 16, rx=2, fill="#e9d9b4", stroke=INK, stroke_width=MEDIUM),
        *_ticks(40, TOP, thick, millimetres, named=True),
        label((26, TOP - 14), "mm", text_anchor="middle", font_size=10, fill=SOFT_INK),
    ]


def _rule_at_ball(sole: Sole, millimetres: int) -> list[Node]:
    """The same millimetres under the ball, drawn over the cut."""
    x, top = sole.ball, sole.top(sole.ball)
    deep = sole.thick + 4
    return [
        rect(x - 12, top, 24, deep, fill=PAPER, fill_opacity=0.72, stroke=INK, stroke_width=FINE),
        *_ticks(x + 12, top, sole.thick, millimetres, named=False),
    ]


def _above(sole: Sole) -> list[Node]:
    xs = [LEFT + (RIGHT - LEFT) * k / 60 for k in range(61)]
    seat = [(x, sole.top(x)) for x in xs]
    bed = seat + [(x, y - INSOLE) for x, y in reversed(seat)]
    toe = sole.top(RIGHT) - INSOLE
    foot = polyline([(x, y - INSOLE) for x, y in reversed(seat)])
    upper = f"{foot}V26C104 16 168 44 226 68C282 88 330 92 {RIGHT} {toe:.2f}Z"
    creases = ((190, 60), (208, 66), (224, 74))
    return [
        path(upper, fill=LEATHER_DARK, stroke=INK, stroke_width=MEDIUM, stroke_linejoin="round"),
        *(
            path(
                f"M{x} {y}q8 10 4 26",
                fill="none",
                stroke=shade(LEATHER_DARK, -0.3),
                stroke_width=1.2,
            )
            for x, y in creases
        ),
        path(
            polyline(bed, closed=True),
            fill="#d8b78c",
            stroke=INK,
            stroke_width=MEDIUM,
            class_="insole",
        ),
    ]


def _ground(sole: Sole, level: int) -> list[Node]:
    y = sole.ground
    # At the first level a rule stands under the ball; the word goes beside it.
    beside = 30 if level == 1 else 0
    style: dict[str, Value] = {"font_size": 11.0, "fill": SOFT_INK}
    return [
        line(
            (8, y + 1),
            (352, y + 1),
            stroke=INK,
            stroke_width=BOLD,
            stroke_opacity=0.6,
            class_="ground",
        ),
        label((WAIST_X, y + 18), "waist", text_anchor="middle", **style),
        label((sole.ball - beside, y + 18), "ball", text_anchor="middle", **style),
        label((RIGHT, y + 18), "toe", text_anchor="end", **style),
    ]


def draw(level: int, dice: Random) -> Drawn:
    """Draw the forepart of a sole from waist to toe.

    Parameters
    ----------
    level : int
        1 asks for whole millimetres of a thick sole; 2 and 3 for any part of it, in steps of 2.5
        percent.
    dice : Random
        Chance of this exercise.
    """
    millimetres = dice.choice((8, 10)) if level < 3 else 10
    if level == 1:
        left = dice.randint(1, millimetres - 1) / millimetres
    else:
        left = dice.randint(4, 37) * 2.5 / 100
    sole = Sole(THICK[level], left, LEFT + (RIGHT - LEFT) * dice.randint(34, 40) / 60)
    material = dice.choice((LEATHER, RUBBER))
    percent = round(left * 100, 6)
    body = [
        *_above(sole),
        path(
            polyline(sole.outline(), closed=True),
            fill=material,
            stroke=INK,
            stroke_width=MEDIUM,
            stroke_linejoin="round",
            class_="outsole",
        ),
        *_ground(sole, level),
    ]
    if level < 3:
        body += _rule_at_waist(sole.thick, millimetres)
    if level == 1:
        body += _rule_at_ball(sole, millimetres)
    low, waist = sole.top(sole.ball), sole.top(WAIST_X)
    shown = [
        arrow_line((WAIST_X, waist), (WAIST_X, waist + sole.thick)),
        arrow_line((sole.ball, low), (sole.ball, sole.ground)),
        note((WAIST_X + 8, waist + sole.thick / 2 + 4), "100"),
        note((sole.ball, low - INSOLE - 8), f"{percent:g} %", font_size=15, text_anchor="middle"),
    ]
    return Drawn(
        question="What share of the sole's thickness is left at its thinnest, in percent?",
        title="The forepart of a sole, cut lengthwise",
        description="A shoe cut lengthwise down its middle, from the waist, which is clear of the "
        "ground, to the toe: under the ball the sole is worn flat and thinner.",
        body=body,
        shown=shown,
        truth=percent,
        why=f"The waist does not touch the ground, so it shows the full thickness; under the ball "
        f"{percent:g} % of it is left.",
        unit="%",
        tolerance=TOLERANCE[level],
        caution="On a whole shoe the edge hides this: the middle of the ball wears first. Press it "
        "with a thumb from both sides and look along the sole from the toe.",
        height=266,
    )


FAMILY = Family(
    id="sole_left",
    name="Sole left",
    about="Judge how much of a sole is left against the unworn waist.",
    zone="sole",
    signal_ids=("sole_left",),
    draw=draw,
)
