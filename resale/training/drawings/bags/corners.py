"""The lower corner of a bag: clean, dull, pale, or worn through to the cord."""

from __future__ import annotations

from math import cos, pi, sin
from random import Random

from resale.training.drawings.blobs import blob
from resale.training.drawings.cloth import clip, clipped
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    INK,
    LEATHER_PALE,
    MEDIUM,
    SOFT_INK,
    label,
    mix,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.section import beside
from resale.training.drawings.svg import Node, Point, group, line, path, polyline, smooth

THROUGH = Answer("through", "Worn through")
PALE = Answer("pale", "Colour gone")
DULL = Answer("dull", "Dull spots")
CLEAN = Answer("clean", "Clean")
OFFERED = {
    1: (THROUGH, PALE, CLEAN),
    2: (THROUGH, PALE, DULL, CLEAN),
    3: (THROUGH, PALE, DULL, CLEAN),
}
FAR = {"pale": {1: 0.85, 2: 0.7, 3: 0.55}, "dull": {1: 0.3, 2: 0.26, 3: 0.22}}
"""How far the rubbed place is from the leather, towards raw hide or towards grey."""

GAP = {1: 46.0, 2: 34.0, 3: 24.0}
"""Length of cord that looks out."""

HIDES = ("#6f4630", "#3f3a38", "#7a3038", "#44543f", "#8a5a3a")
PIPE = 15.0
WHY = {
    "through": "The piping has a hole and its white cord looks out: a cobbler's work, and seen by "
    "every buyer.",
    "pale": "The colour has gone down to raw hide, and nothing is open: cream brings some of it "
    "back.",
    "dull": "The shine is rubbed off and the colour is still there: a cream and a cloth.",
    "clean": "Colour and shine go right round the corner.",
}


def _edge() -> list[Point]:
    """The line of the piping: down, round the corner, and to the left."""
    turn = [(236 + 62 * cos(pi / 2 * k / 10), 150 + 62 * sin(pi / 2 * k / 10)) for k in range(11)]
    return [(298, -6), (298, 60), (298, 110), *turn, (180, 212), (90, 212), (-6, 212)]


def _bag(hide: str) -> list[Node]:
    """The panel, its seam, and the piping round it."""
    edge = _edge()
    seam = beside(edge, 26)
    middle = beside(edge, PIPE / 2)
    return [
        path(polyline([(-6, -6), *edge], closed=True), fill=hide, class_="panel"),
        *(
            path(smooth(middle), fill="none", stroke=tint, stroke_width=wide, class_=named)
            for wide, tint, named in (
                (PIPE + 3, INK, "rim"),
                (PIPE, shade(hide, 0.1), "piping"),
            )
        ),
        path(
            smooth(beside(edge, PIPE * 0.36)),
            fill="none",
            stroke=shade(hide, -0.4),
            stroke_width=3,
            class_="shine",
        ),
        path(
            smooth(seam),
            fill="none",
            stroke=shade(hide, -0.55),
            stroke_width=2,
            stroke_dasharray="8 4",
        ),
    ]


def _rubbed(dice: Random, tint: str, radius: float) -> list[Node]:
    """A rubbed place round the corner, ragged at its edge."""
    at = (272.0, 186.0)
    outer = blob(dice, at, radius, 0.22, count=16)
    inner = [(at[0] + (x - at[0]) * 0.6, at[1] + (y - at[1]) * 0.6) for x, y in outer]
    return [
        path(smooth(outer, closed=True), fill=tint, fill_opacity=0.8, class_="rubbed"),
        path(smooth(inner, closed=True), fill=tint),
    ]


def _cord(long: float) -> list[Node]:
    """White cord of the piping, twisted, in a torn opening."""
    middle = (275.0, 189.0)
    way, side = (0.707, -0.707), (0.707, 0.707)
    half, wide = long / 2, 6.4
    torn = []
    for k in range(9):
        t = -half + long * k / 8
        reach = wide * (1 - (t / half) ** 2) ** 0.5 + 1.6 * (k % 2)
        torn.append((t, reach))
    outline = [
        (middle[0] + way[0] * t + side[0] * r, middle[1] + way[1] * t + side[1] * r)
        for t, r in [*torn, *((t, -r) for t, r in reversed(torn))]
    ]
    twists = [
        line(
            (middle[0] + way[0] * t - side[0] * 3.4, middle[1] + way[1] * t - side[1] * 3.4),
            (
                middle[0] + way[0] * (t + 5) + side[0] * 3.4,
                middle[1] + way[1] * (t + 5) + side[1] * 3.4,
            ),
            stroke=SOFT_INK,
            stroke_width=1.2,
        )
        for t in (-half * 0.7 + long * 0.7 * k / 6 for k in range(6))
    ]
    return [
        path(
            polyline(outline, closed=True),
            fill="#f4efe2",
            stroke=INK,
            stroke_width=MEDIUM,
            stroke_linejoin="bevel",
            class_="cord",
        ),
        *twists,
    ]


def draw(level: int, dice: Random) -> Drawn:
    """Draw the lower corner of a bag.

    Parameters
    ----------
    level : int
        1 offers three states; 2 and 3 four, with fainter marks and a shorter opening.
    dice : Random
        Chance of this exercise.
    """
    answers = OFFERED[level]
    truth = dice.choice(answers).id
    hide = HIDES[dice.randrange(len(HIDES))]
    over: list[Node] = []
    if truth in FAR:
        aim = LEATHER_PALE if truth == "pale" else "#8d877d"
        over = _rubbed(dice, mix(hide, aim, FAR[truth][level]), dice.uniform(25, 31))
    elif truth == "through":
        over = [*_rubbed(dice, mix(hide, LEATHER_PALE, 0.55), 27.0), *_cord(GAP[level])]
    window = path(polyline([(-6, -6), *_edge()], closed=True))
    return Drawn(
        question="How worn is the corner of this bag?",
        title="The lower corner of a bag",
        description="The lower corner of a bag, seen close: the panel, a seam, and piping round "
        "the edge.",
        body=[
            *_bag(hide),
            group(*over, clip_path=clipped("bag")),
            path(smooth(_edge()), fill="none", stroke=INK, stroke_width=BOLD),
            label((352, 24), "close", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            shown_ring((276, 190), 42, 40),
            note((16, 248), words_of(answers, truth).lower(), font_size=14),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=(clip("bag", window),),
        answers=answers,
        caution="Dark cream hides pale corners for a week: rub with a white cloth.",
        height=258,
    )


FAMILY = Family(
    id="corners",
    name="Corners of bags",
    about="Tell a corner that lost its shine from one that lost its colour, and from a hole.",
    zone="body",
    signal_ids=("corner_wear",),
    draw=draw,
)
