"""How far the fold of a collar or the edge of a cuff is worn."""

from __future__ import annotations

from random import Random

from resale.training.drawings.cloth import filled, weave
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    CLOTHS,
    INK,
    MEDIUM,
    SOFT_INK,
    label,
    mix,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, Point, line, path, polyline, rect, smooth

THROUGH = Answer("through", "Worn through")
FRAYED = Answer("frayed", "Yarns broken, frayed")
FUZZY = Answer("fuzzy", "Fuzzy or pale, yarns whole")
SOFTENED = Answer("softened", "Softened, no fuzz")
CRISP = Answer("crisp", "Crisp")
OFFERED = {
    1: (THROUGH, FUZZY, CRISP),
    2: (THROUGH, FRAYED, FUZZY, CRISP),
    3: (THROUGH, FRAYED, FUZZY, SOFTENED, CRISP),
}
FUZZ = {1: 70, 2: 45, 3: 26}
"""Fine hairs along a fuzzy fold."""

BROKEN = {1: 9, 2: 6, 3: 4}
"""Yarns that end in the fold of a frayed one."""

HOLE = {1: 46.0, 2: 30.0, 3: 17.0}
"""Width of the place where the stiffening looks out."""

LEFT, RIGHT, TOP, FOLD = 14.0, 346.0, 24.0, 138.0
SEEN = {"collar": "fold of the collar", "cuff": "edge of the cuff"}
WHY = {
    "through": "The white of the stiffening looks out between the ends of the yarns.",
    "frayed": "Yarns are broken and stand out of the fold, and nothing white behind them yet.",
    "fuzzy": "Fine hairs along the fold, and every yarn still runs through it.",
    "softened": "The fold has gone round and a little wavy, and no hair stands up from it.",
    "crisp": "A sharp straight fold and nothing standing up from it.",
}


def _fold(truth: str, dice: Random) -> list[Point]:
    """The edge; sharp and straight where it is crisp."""
    sway = 0.0 if truth == "crisp" else 2.6
    steps = 16
    wide = (RIGHT - LEFT) / steps
    return [(LEFT + wide * k, FOLD + dice.uniform(-sway, sway)) for k in range(steps + 1)]


def _height(fold: list[Point], x: float) -> float:
    at = min(int((x - LEFT) / (RIGHT - LEFT) * (len(fold) - 1)), len(fold) - 2)
    (x1, y1), (x2, y2) = fold[at], fold[at + 1]
    return y1 + (y2 - y1) * (x - x1) / (x2 - x1)


def _fuzz(fold: list[Point], count: int, tint: str, dice: Random) -> list[Node]:
    wide = (RIGHT - LEFT - 24) / max(count, 1)
    return [
        line(
            (x, y := _height(fold, x)),
            (x + dice.uniform(-4, 4), y + dice.uniform(4, 9)),
            stroke=tint,
            stroke_width=0.9,
            class_="fuzz",
        )
        for x in (LEFT + 12 + wide * (k + dice.random()) for k in range(count))
    ]


def _broken(fold: list[Point], near: float, count: int, tint: str, dice: Random) -> list[Node]:
    found: list[Node] = []
    for k in range(count):
        x = near + (k - count / 2) * 5.2 + dice.uniform(-1, 1)
        y = _height(fold, x)
        run = [(x, y - 7), (x + 0.6, y), (x + dice.uniform(-5, 5), y + dice.uniform(9, 16))]
        found.append(
            path(smooth(run), fill="none", stroke=tint, stroke_width=2.2, class_="broken-yarn")
        )
    return found


def _piece(place: str, fold: list[Point], colour: str) -> list[Node]:
    """The cloth above the fold: a collar with its two points, or a cuff with its button."""
    top: list[Point] = [(RIGHT, TOP), (LEFT, TOP)]
    if place == "collar":
        top = [(RIGHT - 42, TOP), (LEFT + 42, TOP)]
    stitched = TOP + 10
    nodes: list[Node] = [
        path(
            polyline([*fold, *top], closed=True),
            fill=filled("main"),
            stroke=INK,
            stroke_width=MEDIUM,
            stroke_linejoin="round",
            class_="cloth",
        ),
        line(
            (LEFT + 52, stitched),
            (RIGHT - 52, stitched),
            stroke=shade(colour, 0.45),
            stroke_width=1.4,
            stroke_dasharray="6 4",
        ),
        path(smooth(fold), fill="none", stroke=INK, stroke_width=MEDIUM, class_="fold"),
    ]
    if place == "cuff":
        nodes.append(
            rect(RIGHT - 52, 70, 16, 16, rx=8, fill="#efe8d6", stroke=INK, stroke_width=MEDIUM)
        )
    return nodes


def draw(level: int, dice: Random) -> Drawn:
    """Draw the fold of a collar or a cuff, seen close.

    Parameters
    ----------
    level : int
        1 has three plain states; 3 five, with less fuzz, fewer broken yarns and a smaller hole.
    dice : Random
        Chance of this exercise.
    """
    answers = OFFERED[level]
    truth = dice.choice(answers).id
    place = ("collar", "cuff")[dice.randrange(2)]
    colour = CLOTHS[dice.choice(sorted(CLOTHS))]
    fold = _fold(truth, dice)
    tint = shade(colour, 0.42)
    near = dice.uniform(LEFT + 80, RIGHT - 90)
    body = _piece(place, fold, colour)
    if truth in {"fuzzy", "frayed", "through"}:
        pale = mix(colour, "#fffdf8", 0.5)
        body.append(path(smooth(fold), fill="none", stroke=pale, stroke_width=4, class_="pale"))
        body += _fuzz(fold, FUZZ[level], tint, dice)
    if truth == "through":
        half, low = HOLE[level] / 2, _height(fold, near)
        gap = [(near - half, low), (near - half * 0.5, low - 9), (near + half * 0.4, low - 11)]
        outline = polyline([*gap, (near + half, low)], closed=True)
        body.append(path(outline, fill="#ffffff", stroke=INK, stroke_width=1, class_="stiffening"))
    if truth in {"frayed", "through"}:
        body += _broken(fold, near, BROKEN[level], tint, dice)
    words = words_of(answers, truth)
    whole = truth in {"crisp", "softened", "fuzzy"}
    mark = shown_ring((180, FOLD + 2), 160, 20) if whole else shown_ring((near, FOLD), 40, 26)
    return Drawn(
        question=f"How worn is the {SEEN[place]}?",
        title=f"The {SEEN[place]}, seen close",
        description="A fold stretched between two hands in good light, with what stands up from "
        "it.",
        body=[
            *body,
            label((350, 188), "seen close", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[mark, note((150, 188), words.lower(), text_anchor="middle", font_size=14)],
        truth=truth,
        why=WHY[truth],
        definitions=(weave("main", colour),),
        answers=answers,
        signal_ids=("collar_edge",) if place == "collar" else ("cuff_edge",),
        height=198,
    )


FAMILY = Family(
    id="edges",
    name="Collar fold and cuff edge",
    about="Tell fuzz from broken yarns, and broken yarns from an edge that is through.",
    zone="collar",
    signal_ids=("collar_edge", "cuff_edge"),
    draw=draw,
)
