"""A tie cut across a hand's breadth above its tip: how often the silk is folded."""

from __future__ import annotations

from math import cos, pi, sin
from random import Random

from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.materials import tile
from resale.training.drawings.palette import (
    FINE,
    INK,
    SOFT_INK,
    label,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, Point, Ref, path, polyline, rect

SKIMPED = Answer("skimped", "Two folds, wadding shows")
THREE = Answer("three", "Three folds")
MORE = Answer("more", "Four to six folds")
SEVEN = Answer("seven", "Seven folds of silk")
OFFERED = {
    1: (SKIMPED, THREE, SEVEN),
    2: (SKIMPED, THREE, MORE, SEVEN),
    3: (SKIMPED, THREE, MORE, SEVEN),
}
TURNS = {
    "skimped": ((1, 1),),
    "three": ((1, 2), (2, 1)),
    "more": ((2, 2), (3, 2), (2, 3), (3, 3)),
    "seven": ((3, 4), (4, 3)),
}
"""Folds of the left and of the right side."""

STEP = {1: 27.0, 2: 21.0, 3: 15.0}
"""Distance of one layer from the next on the sheet."""

SILKS = ("#7a4a5a", "#3f5a78", "#4f6a55", "#8a5a3c")
LEFT, RIGHT, BASE = 34.0, 326.0, 198.0
MIDDLE = (LEFT + RIGHT) / 2
WHY = {
    "skimped": "One fold a side, and the edges do not meet: wadding looks out between them.",
    "three": "One edge turned in on each side, and one of them turned under once more where they "
    "meet: three folds.",
    "more": "Both edges are turned under again: more silk than most, and still wadding inside.",
    "seven": "Seven folds of the silk itself, with little or nothing between: its own weight "
    "makes it fall.",
}


def _arc(at: Point, radius: float, side: int) -> list[Point]:
    """Half round, from below to above, on one side."""
    return [
        (at[0] + side * radius * sin(pi * k / 8), at[1] + radius * cos(pi * k / 8))
        for k in range(9)
    ]


def _side(turns: int, side: int, step: float, lift: float, meet: float) -> list[Point]:
    """One side of the silk, from the middle of the front to its raw edge.

    Each fold sends it back over itself: outside, then in the middle, then outside again.
    """
    outer = LEFT if side < 0 else RIGHT
    run: list[Point] = [(MIDDLE, BASE)]
    y = BASE
    for turn in range(turns):
        at_edge = turn % 2 == 0
        rise = lift if turn == 0 else step
        x = (
            outer - side * (10 + 11 * (turn // 2))
            if at_edge
            else meet + side * (14 + 8 * (turn // 2))
        )
        run += _arc((x, y - rise / 2), rise / 2, side if at_edge else -side)
        y -= rise
    last_at_edge = turns % 2 == 0
    run.append((outer - side * 40, y) if last_at_edge else (meet + side * 4, y))
    return run


def _wadding(top: float, low: float, wide: float) -> Node:
    return rect(
        MIDDLE - wide / 2,
        top,
        wide,
        low - top,
        rx=min(5.0, (low - top) / 2),
        fill=Ref("tile-canvas", as_url=True),
        stroke=INK,
        stroke_width=FINE,
        class_="wadding",
    )


def _silk(run: list[Point], colour: str) -> list[Node]:
    pens = ((9.4, INK, ""), (7.2, colour, "silk"), (1.6, shade(colour, -0.45), ""))
    return [
        path(
            polyline(run),
            fill="none",
            stroke=tint,
            stroke_width=wide,
            stroke_linejoin="round",
            **({"class_": named} if named else {}),
        )
        for wide, tint, named in pens
    ]


def draw(level: int, dice: Random) -> Drawn:
    """Draw a tie cut across.

    Parameters
    ----------
    level : int
        1 offers three ways and keeps layers well apart; at 3 they lie close.
    dice : Random
        Chance of this exercise.
    """
    answers = OFFERED[level]
    truth = dice.choice(answers).id
    ways = TURNS[truth]
    left, right = ways[dice.randrange(len(ways))]
    step = STEP[level]
    colour = SILKS[dice.randrange(len(SILKS))]
    empty = truth == "seven"
    lift = step if empty else step + 22
    gap = 34.0 if truth == "skimped" else 3.0
    # The right side is laid over the left one: there it begins one layer higher.
    runs = [
        _side(left, -1, step, lift, MIDDLE - gap),
        _side(right, 1, step, lift, MIDDLE + gap),
    ]
    silk = [*reversed(runs[0]), *runs[1][1:]]
    inside = [] if empty else [_wadding(BASE - lift + 8, BASE - 8, RIGHT - LEFT - 40)]
    turns = left + right
    folds = [(x, y) for run in runs for x, y in run[5::9]]
    return Drawn(
        question="How is this tie folded?",
        title="A tie cut across",
        description="A tie seen end-on, a hand's breadth above its tip: the silk as one line from "
        "edge to edge, its face below, and what lies inside.",
        body=[
            *inside,
            *_silk(silk, colour),
            label((MIDDLE, 230), "the face", text_anchor="middle", font_size=11, fill=SOFT_INK),
            label((14, 22), "cut across", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            *(shown_ring(at, 9, 12) for at in folds),
            note(
                (346, 24),
                f"{turns} folds: {words_of(answers, truth).lower()}",
                text_anchor="end",
                font_size=13,
            ),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=(tile("canvas"),),
        answers=answers,
        caution="Nothing is cut: look in from the tip, and a hand's breadth up, as a label may "
        "speak of the tip alone.",
        height=244,
    )


FAMILY = Family(
    id="tie_folds",
    name="Folds of a tie",
    about="Count the folds of the silk, and see whether wadding fills what silk should.",
    zone="inside",
    signal_ids=("tie_folds",),
    draw=draw,
)
