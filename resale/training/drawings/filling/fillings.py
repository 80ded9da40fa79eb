"""What a padded jacket is filled with, pulled out at a seam and laid under a glass."""

from __future__ import annotations

from math import cos, pi, sin
from random import Random

from resale.training.drawings.cloth import clip, clipped
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.filling.fluff import ball, cluster, feather, sheet
from resale.training.drawings.palette import SOFT_INK, label, note, shown_ring
from resale.training.drawings.surfaces.glass import handle, rim
from resale.training.drawings.svg import Node, Point, circle, group, rect

DOWN = Answer("down_high", "Down, hardly a quill")
HALF = Answer("down_half", "Down and feather by halves")
FEATHER = Answer("feather", "Feather for the most part")
WADDING = Answer("synthetic", "Man-made wadding")
OFFERED = {
    1: (DOWN, FEATHER, WADDING),
    2: (DOWN, HALF, FEATHER, WADDING),
    3: (DOWN, HALF, FEATHER, WADDING),
}
MIXED = {
    1: {"down_high": (7, 0), "feather": (0, 7)},
    2: {"down_high": (7, 0), "down_half": (4, 4), "feather": (1, 6)},
    3: {"down_high": (6, 1), "down_half": (4, 4), "feather": (2, 6)},
}
"""Clusters and feathers under the glass."""

BALLS = {1: 0.0, 2: 0.3, 3: 0.8}
"""How often wadding is wound into balls."""

CENTRE: Point = (150.0, 128.0)
GLASS = 112.0
TABLES = ("#4d5660", "#5a4a4f", "#4c5a50")
WHY = {
    "down_high": "Clusters: soft hairs on all sides of a knot, and no quill that could be felt "
    "between two fingers.",
    "down_half": "As many feathers with a quill as clusters without one: warm enough for towns, "
    "and it pricks.",
    "feather": "Nearly all have a quill with a vane on both sides: heavy, and the quills come out.",
    "synthetic": "Smooth threads, all of one thickness, that begin and end nowhere: wadding, "
    "whatever it is called.",
}
BALL_WHY = (
    "The little balls have no knot in the middle: one smooth thread goes round and round. It is "
    "wadding made to look like down."
)


def _places(dice: Random, count: int) -> list[Point]:
    """One place in the middle of the lens and the others round it, each a little off."""
    (x, y), first = CENTRE, dice.uniform(0, 2 * pi)
    angles = [first + 2 * pi * k / (count - 1) for k in range(count - 1)]
    around = [
        (x + GLASS * 0.65 * cos(a) + dice.uniform(-5, 5), y + GLASS * 0.65 * sin(a)) for a in angles
    ]
    return [(x + dice.uniform(-5, 5), y + dice.uniform(-5, 5)), *around]


def _under_glass(dice: Random, truth: str, level: int) -> tuple[list[Node], Point, bool]:
    """What lies there, what to look at first, and whether it is wound."""
    if truth != "synthetic":
        clusters, feathers = MIXED[level][truth]
        kinds = ["cluster"] * clusters + ["feather"] * feathers
        dice.shuffle(kinds)
        places = _places(dice, len(kinds))
        drawn = [
            cluster(dice, at, dice.uniform(27, 33))
            if kind == "cluster"
            else feather(dice, at, dice.uniform(58, 70), dice.uniform(0, 360))
            for kind, at in zip(kinds, places, strict=True)
        ]
        return drawn, places[0], False
    if dice.random() < BALLS[level]:
        places = _places(dice, 7)
        return [one for at in places for one in ball(dice, at, 29)], places[0], True
    return sheet(dice, CENTRE, GLASS), CENTRE, False


def draw(level: int, dice: Random) -> Drawn:
    """Draw a filling under a glass.

    Parameters
    ----------
    level : int
        1 offers three fillings; 2 and 3 mixed ones too, and wadding wound to look like down.
    dice : Random
        Chance of this exercise.
    """
    answers = OFFERED[level]
    truth = dice.choice(answers).id
    table = TABLES[dice.randrange(len(TABLES))]
    found, look, wound = _under_glass(dice, truth, level)
    (x, y), side = CENTRE, 2 * GLASS
    return Drawn(
        question="What is this jacket filled with?",
        title="A filling under a glass",
        description="A little of what a jacket is filled with, on dark cloth under a glass.",
        body=[
            *handle(CENTRE, GLASS),
            group(
                rect(x - GLASS, y - GLASS, side, side, fill=table, class_="table"),
                *found,
                clip_path=clipped("glass"),
            ),
            *rim(CENTRE, GLASS),
            label((350, 24), "under a glass", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            shown_ring(look, 35, 35),
            note((180, 268), words_of(answers, truth).lower(), text_anchor="middle", font_size=14),
        ],
        truth=truth,
        why=BALL_WHY if wound else WHY[truth],
        definitions=(clip("glass", circle(CENTRE, GLASS)),),
        answers=answers,
        caution="Nothing is cut open to look: take what a seam or a needle hole gives, or feel for "
        "quills through the cloth.",
        height=278,
    )


FAMILY = Family(
    id="fillings",
    name="Down, feather or wadding",
    about="Tell clusters of down from feathers with a quill and from man-made threads.",
    zone="label",
    signal_ids=("fibre_fill",),
    draw=draw,
)
