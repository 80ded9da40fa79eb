"""Plated fittings: an even coat, bare edges, bare patches, or pits."""

from __future__ import annotations

from math import cos, pi, sin
from random import Random

from resale.training.drawings.cloth import clip, clipped
from resale.training.drawings.exercise import Answer
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BRASS,
    INK,
    LEATHER,
    LEATHER_DARK,
    MEDIUM,
    METAL,
    mix,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, Point, circle, group, path, ring, smooth

PITTED = Answer("pitted", "Pitted or green")
PATCHES = Answer("patches", "Patches bare")
EDGES = Answer("edges", "Edges bare")
WHOLE = Answer("whole", "Even colour")
OFFERED = {
    1: (PATCHES, WHOLE),
    2: (PITTED, PATCHES, EDGES, WHOLE),
    3: (PITTED, PATCHES, EDGES, WHOLE),
}
BASE = "#b08a78"
"""The pinkish metal under the plating."""
VERDIGRIS = "#7fa08c"
# How much of the plating's colour the bare metal keeps: closer is harder to see.
CLOSE = {1: 0.0, 2: 0.25, 3: 0.5}
CENTRE: Point = (180.0, 148.0)
OUTER, INNER = 92.0, 60.0
WHY = {
    "pitted": "Green specks and pits: the coat has gone and the metal below is being eaten.",
    "patches": "Whole patches of the metal below show through the coat.",
    "edges": "The coat has gone along the inner and outer edges only, where it is rubbed.",
    "whole": "One colour all over, edges and all.",
}


def _ring_path() -> str:
    outer = smooth(ring(CENTRE, OUTER, OUTER, points=40), closed=True)
    inner = smooth(ring(CENTRE, INNER, INNER, points=40), closed=True)
    return outer + inner


def _on_band(turn: float, across: float) -> Point:
    """A point of the ring's band: 0 on its inner edge, 1 on its outer."""
    radius = INNER + (OUTER - INNER) * across
    return (CENTRE[0] + radius * cos(turn), CENTRE[1] + radius * sin(turn))


def _blob(dice: Random, at: Point, size: float, colour: str, name: str) -> Node:
    points = [
        (x + dice.uniform(-0.18, 0.18) * size, y + dice.uniform(-0.18, 0.18) * size)
        for x, y in ring(at, size, size * dice.uniform(0.55, 0.8), points=10)
    ]
    return path(
        smooth(points, closed=True),
        fill=colour,
        stroke=shade(colour, 0.3),
        stroke_width=0.7,
        class_=name,
    )


def _wear(dice: Random, truth: str, bare: str, level: int) -> list[Node]:
    if truth == "patches":
        count = dice.randint(4, 6)
        start = dice.uniform(0, 2 * pi)
        places = [
            _on_band(start + 2 * pi * k / count + dice.uniform(-0.2, 0.2), dice.uniform(0.35, 0.65))
            for k in range(count)
        ]
        return [_blob(dice, at, dice.uniform(13, 18), bare, "bare patch") for at in places]
    if truth == "pitted":
        green = mix(VERDIGRIS, bare, 0.25 * (level - 2) + 0.05)
        return [
            _blob(
                dice,
                _on_band(dice.uniform(0, 2 * pi), dice.uniform(0.1, 0.9)),
                dice.uniform(2.2, 5),
                dice.choice((green, shade(green, 0.5))),
                "pit",
            )
            for _ in range(44)
        ]
    if truth == "edges":
        width = 6.0 if level < 3 else 5.0
        return [
            circle(CENTRE, radius, fill="none", stroke=bare, stroke_width=width, class_="bare edge")
            for radius in (INNER + width / 2 - 0.5, OUTER - width / 2 + 0.5)
        ]
    return []


def _gloss(colour: str) -> list[Node]:
    """A sheen that every ring has, worn or not."""
    parts: list[Node] = []
    for start, end in ((3.5, 4.6), (0.5, 1.1)):
        run = [_on_band(start + (end - start) * k / 6, 0.7) for k in range(7)]
        parts.append(
            path(
                smooth(run),
                stroke=shade(colour, -0.75),
                stroke_width=4.5,
                fill="none",
                stroke_linecap="round",
                stroke_opacity=0.55,
            )
        )
    return parts


def _strap() -> list[Node]:
    """A leather loop that holds the ring, so that it reads as a fitting."""
    return [
        path(
            "M142 8H218V70Q218 82 206 82H154Q142 82 142 70Z",
            fill=LEATHER,
            stroke=INK,
            stroke_width=MEDIUM,
        ),
        path(
            "M149 8V68Q149 75 156 75H204Q211 75 211 68V8",
            fill="none",
            stroke=LEATHER_DARK,
            stroke_width=1.2,
            stroke_dasharray="5 3",
        ),
    ]


def _shown(truth: str) -> list[Node]:
    words = {
        "pitted": "pits all over",
        "patches": "bare patches",
        "edges": "edges only",
        "whole": "even",
    }[truth]
    rings = {
        "pitted": [shown_ring(_on_band(0.4, 0.5), 30, 30)],
        "patches": [shown_ring(CENTRE, OUTER + 6, OUTER + 6)],
        "edges": [shown_ring(_on_band(0.4, 1.0), 16, 16), shown_ring(_on_band(0.4, 0.0), 16, 16)],
        "whole": [],
    }[truth]
    return [*rings, note(CENTRE, words, text_anchor="middle", font_size=14)]


def draw(level: int, dice: Random) -> Drawn:
    """Draw a ring of a bag in its leather loop.

    Parameters
    ----------
    level : int
        1 offers a whole coat and bare patches; 2 and 3 add edges and pits, the bare metal ever
        nearer to the coat's colour.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(OFFERED[level]).id
    plating = dice.choice((METAL, BRASS))
    bare = mix(BASE, plating, CLOSE[level])
    window = clip("ring", path(_ring_path(), clip_rule="evenodd"))
    body = [
        path(
            _ring_path(),
            fill=INK,
            fill_opacity=0.16,
            fill_rule="evenodd",
            transform="translate(3 4)",
        ),
        path(_ring_path(), fill=plating, fill_rule="evenodd", class_="plating"),
        group(*_wear(dice, truth, bare, level), *_gloss(plating), clip_path=clipped("ring")),
        path(_ring_path(), fill="none", stroke=INK, stroke_width=MEDIUM),
        *_strap(),
    ]
    return Drawn(
        question="What has become of the plating on this ring?",
        title="A ring of a bag",
        description="A metal ring in a leather loop; its colour and surface can be seen all round.",
        body=body,
        shown=_shown(truth),
        truth=truth,
        why=WHY[truth],
        definitions=(window,),
        answers=OFFERED[level],
        height=256,
    )


FAMILY = Family(
    id="plating",
    name="Plating of fittings",
    about="Tell an even coat from bare edges, bare patches and pits.",
    zone="hardware",
    signal_ids=("plating_wear",),
    draw=draw,
)
