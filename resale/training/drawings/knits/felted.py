"""Knitting that was washed too hot: loops that run together, under a glass."""

from __future__ import annotations

from random import Random

from resale.training.drawings.cloth import clip, clipped
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    CLOTHS,
    SOFT_INK,
    label,
    mix,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.surfaces.glass import handle, rim
from resale.training.drawings.surfaces.loops import loops
from resale.training.drawings.svg import Node, Point, circle, group, path, rect, smooth

BOARD = Answer("board", "Felted hard, shrunk")
PARTLY = Answer("partly", "Partly felted, tight")
SLIGHT = Answer("slight", "A little thickened")
NONE = Answer("none", "As it was knitted")
OFFERED = {
    1: (BOARD, PARTLY, NONE),
    2: (BOARD, PARTLY, SLIGHT, NONE),
    3: (BOARD, PARTLY, SLIGHT, NONE),
}
VEIL = {
    "none": {1: 0.0, 2: 0.0, 3: 0.0},
    "slight": {1: 0.2, 2: 0.22, 3: 0.24},
    "partly": {1: 0.5, 2: 0.5, 3: 0.5},
    "board": {1: 0.9, 2: 0.86, 3: 0.82},
}
"""How far the loops have gone under one felt of hairs."""

HAIRS = {"none": 6, "slight": 46, "partly": 120, "board": 260}
COLUMNS = {1: 11, 2: 14, 3: 18}
CENTRE: Point = (150.0, 128.0)
GLASS = 112.0
WHY = {
    "board": "Hardly a loop is left: hairs have run together into a felt, stiff as board and "
    "shorter than it was.",
    "partly": "Loops can be made out under the hairs, and the holes between them have closed: it "
    "shrank, and is tight.",
    "slight": "Each loop is there, with a haze of hairs over it: a little thicker than new.",
    "none": "Each loop stands by itself with a dark hole beside it, and hardly a hair across.",
}


def _hairs(dice: Random, truth: str, colour: str) -> list[Node]:
    """Hairs that lie over the loops in every direction."""
    x, y = CENTRE
    found: list[Node] = []
    for _ in range(HAIRS[truth]):
        a, b = x + dice.uniform(-GLASS, GLASS), y + dice.uniform(-GLASS, GLASS)
        run = [
            (a, b),
            (a + dice.uniform(-13, 13), b + dice.uniform(-9, 9)),
            (a + dice.uniform(-22, 22), b + dice.uniform(-14, 14)),
        ]
        found.append(
            path(
                smooth(run),
                fill="none",
                stroke=shade(colour, dice.uniform(-0.4, 0.12)),
                stroke_width=0.9,
                class_="hair",
            )
        )
    return found


def draw(level: int, dice: Random) -> Drawn:
    """Draw knitting under a glass.

    Parameters
    ----------
    level : int
        1 offers three states; 2 and 3 four, in finer and finer knitting.
    dice : Random
        Chance of this exercise.
    """
    answers = OFFERED[level]
    truth = dice.choice(answers).id
    colour = CLOTHS[sorted(CLOTHS)[dice.randrange(len(CLOTHS))]]
    columns = COLUMNS[level]
    wide = 2 * GLASS / columns
    high = wide * 0.8
    (x, y), side = CENTRE, 2 * GLASS
    veil = VEIL[truth][level]
    return Drawn(
        question="Has this knitting felted?",
        title="Knitting under a glass",
        description="Plain knitting, its face, under a magnifying glass.",
        body=[
            *handle(CENTRE, GLASS),
            group(
                rect(x - GLASS, y - GLASS, side, side, fill=shade(colour, 0.5)),
                *loops(
                    (x - GLASS, y - GLASS - high),
                    (columns, int(side / high) + 3),
                    (wide, high),
                    colour,
                ),
                rect(
                    x - GLASS,
                    y - GLASS,
                    side,
                    side,
                    fill=mix(colour, shade(colour, -0.2), 0.5),
                    fill_opacity=veil,
                    class_="veil",
                ),
                *_hairs(dice, truth, colour),
                clip_path=clipped("glass"),
            ),
            *rim(CENTRE, GLASS),
            label((350, 24), "under a glass", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            shown_ring(CENTRE, 60, 44),
            note((180, 268), words_of(answers, truth).lower(), text_anchor="middle", font_size=14),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=(clip("glass", circle(CENTRE, GLASS)),),
        answers=answers,
        caution="Boiled and milled wool is felted on purpose: even all over, and cut like cloth.",
        height=278,
    )


FAMILY = Family(
    id="felted",
    name="Felted or as it was knitted",
    about="Tell loops that stand by themselves from loops under a haze, and from felt.",
    zone="wear",
    signal_ids=("felted",),
    draw=draw,
)
