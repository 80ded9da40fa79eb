"""A heel from the side: level, a rounded corner, a slope, or worn into the heel itself."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

from resale.training.drawings.exercise import Answer
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    INK,
    LEATHER,
    LEATHER_DARK,
    MEDIUM,
    RUBBER,
    SOFT_INK,
    label,
    note,
    shade,
    shown_line,
)
from resale.training.drawings.svg import Node, Point, line, path, polyline

INTO = Answer("into_heel", "Into the heel itself")
SLOPED = Answer("sloped", "Sloped")
ROUNDED = Answer("rounded", "Corner rounded")
LEVEL = Answer("level", "Level")
OFFERED = {1: (INTO, LEVEL), 2: (INTO, SLOPED, ROUNDED, LEVEL), 3: (INTO, SLOPED, ROUNDED, LEVEL)}

GROUND, PIECE, STACK_TOP = 226.0, 24.0, 132.0
BACK, FRONT = 78.0, 232.0
# Part of the heel's length that is worn, and depth at the back in thicknesses of the top piece.
WEAR = {
    2: {
        "into_heel": ((0.55, 0.8), (1.4, 1.9)),
        "sloped": ((0.7, 0.9), (0.55, 0.8)),
        "rounded": ((0.12, 0.18), (0.5, 0.7)),
        "level": ((0.0, 0.0), (0.0, 0.0)),
    },
    3: {
        "into_heel": ((0.5, 0.75), (1.15, 1.3)),
        "sloped": ((0.5, 0.65), (0.32, 0.5)),
        "rounded": ((0.14, 0.2), (0.28, 0.42)),
        "level": ((0.0, 0.0), (0.0, 0.0)),
    },
}
WHY = {
    "into_heel": "At the back the wear has passed the top piece and cut into the heel: more than a "
    "new top piece is needed.",
    "sloped": "The wear runs along half the heel or more, but stays within the top piece.",
    "rounded": "Only the back corner is gone; the rest stands flat.",
    "level": "The top piece stands flat from front to back.",
}


@dataclass(frozen=True, slots=True)
class _Wear:
    run: float
    depth: float

    def bottom(self) -> list[Point]:
        """The line that touches the ground, from the front to the back."""
        if self.run == 0:
            return [(FRONT - 4, GROUND), (BACK, GROUND)]
        start = BACK + self.run * (FRONT - BACK)
        steps = 8
        return [(FRONT - 4, GROUND)] + [
            (start + (BACK - start) * k / steps, GROUND - self.depth * (k / steps) ** 1.35)
            for k in range(steps + 1)
        ]

    def joint(self) -> list[Point]:
        """Where top piece and heel meet: level, but for what is worn away."""
        level = GROUND - PIECE
        above = [point for point in self.bottom() if point[1] < level]
        if not above:
            return [(BACK, level), (FRONT, level)]
        outer = max(x for x, y in above)
        return [(outer, level), (FRONT, level)]


def _heel(wear: _Wear, leather: str) -> list[Node]:
    bottom, level = wear.bottom(), GROUND - PIECE
    low = [point for point in bottom if point[1] >= level]
    high = [point for point in bottom if point[1] < level]
    # The place on the worn line where it crosses the joint, if it does.
    cross: list[Point] = []
    if high:
        (x1, y1), (x2, y2) = low[-1], high[0]
        cross = [(x1 + (x2 - x1) * (y1 - level) / (y1 - y2), level)]
    stack_low = [*reversed(high), *cross] if high else [(BACK, level)]
    stack = [(BACK, STACK_TOP), *stack_low, (FRONT, level), (FRONT + 10, STACK_TOP)]
    piece = [*low, *cross] + ([] if high else [(BACK, level)]) + [(FRONT, level)]
    parts: list[Node] = [
        path(
            polyline(stack, closed=True),
            fill=leather,
            stroke=INK,
            stroke_width=MEDIUM,
            stroke_linejoin="round",
            class_="stack",
        ),
        path(
            polyline(piece, closed=True),
            fill=RUBBER,
            stroke=INK,
            stroke_width=MEDIUM,
            stroke_linejoin="round",
            class_="top-piece",
        ),
    ]
    for k in range(1, 4):
        y = STACK_TOP + k * (level - STACK_TOP) / 4
        parts.append(
            line(
                (BACK + 1, y),
                (FRONT + 10 - 2.5 * k, y),
                stroke=shade(leather, 0.4),
                stroke_width=1.0,
            )
        )
    return parts


def _shoe(leather: str) -> list[Node]:
    top = STACK_TOP - 10
    upper = (
        f"M{BACK + 4} {top}C{BACK - 12} 96 {BACK - 4} 56 {BACK + 10} 22"
        "C120 34 150 42 180 34C206 60 250 84 352 92"
        f"L352 {top + 14}C300 {top + 16} 262 {top + 8} {FRONT + 10} {top}Z"
    )
    sole = (
        f"M{BACK - 2} {STACK_TOP - 11}H{FRONT + 12}C270 {STACK_TOP - 4} 300 {STACK_TOP + 4} 352 "
        f"{STACK_TOP + 3}V{STACK_TOP + 15}C300 {STACK_TOP + 16} 262 {STACK_TOP + 8} {FRONT + 8} "
        f"{STACK_TOP}H{BACK - 2}Z"
    )
    return [
        path(upper, fill=LEATHER_DARK, stroke=INK, stroke_width=MEDIUM, stroke_linejoin="round"),
        path(
            f"M{BACK + 22} 30C{BACK + 12} 66 {BACK + 14} 96 {BACK + 22} {STACK_TOP - 14}",
            fill="none",
            stroke=shade(LEATHER_DARK, -0.35),
            stroke_width=1.2,
            stroke_dasharray="4 3",
        ),
        path(sole, fill=leather, stroke=INK, stroke_width=MEDIUM, stroke_linejoin="round"),
    ]


def _shown(truth: str, wear: _Wear) -> list[Node]:
    words = {
        "into_heel": "past the top piece",
        "sloped": "a slope, within the top piece",
        "rounded": "the corner only",
        "level": "flat",
    }[truth]
    worn = wear.bottom()[1:] if wear.run else [(BACK, GROUND), (FRONT - 4, GROUND)]
    return [
        shown_line(polyline(worn)),
        note((180, 252), words, text_anchor="middle", font_size=14),
    ]


def draw(level: int, dice: Random) -> Drawn:
    """Draw the back of a shoe standing on the bench.

    Parameters
    ----------
    level : int
        1 tells a level heel from wear into the heel, parts named; 2 and 3 add a rounded corner and
        a slope.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(OFFERED[level]).id
    runs, depths = WEAR[max(level, 2)][truth]
    wear = _Wear(dice.uniform(*runs), dice.uniform(*depths) * PIECE)
    leather = shade(LEATHER, dice.uniform(0, 0.2))
    body = [
        line((8, GROUND + 1), (352, GROUND + 1), stroke=INK, stroke_width=BOLD),
        *_shoe(leather),
        *_heel(wear, leather),
        label((14, 252), "back", font_size=11, fill=SOFT_INK),
    ]
    if level == 1:
        body += [
            label((252, 176), "heel", fill=SOFT_INK),
            label((252, GROUND - 8), "top piece", fill=SOFT_INK),
        ]
    return Drawn(
        question="How worn is this heel?",
        title="The heel of a shoe from the side",
        description="The back of a shoe standing on a bench: the heel in layers, and the rubber "
        "top piece under it.",
        body=body,
        shown=_shown(truth, wear),
        truth=truth,
        why=WHY[truth],
        answers=OFFERED[level],
    )


FAMILY = Family(
    id="heel_wear",
    name="Wear of the heel",
    about="Tell a rounded corner from a slope, and a slope from wear into the heel.",
    zone="heel",
    signal_ids=("heel_wear",),
    draw=draw,
)
