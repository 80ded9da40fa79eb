"""Cloth held to the light at the inner thigh: dense, fuzzy, thin, or through."""

from __future__ import annotations

from random import Random

from resale.training.drawings.blobs import blob
from resale.training.drawings.cloth import clip, clipped
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    CLOTHS,
    INK,
    SOFT_INK,
    label,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, Point, circle, group, line, path, rect, smooth

THROUGH = Answer("through", "Worn through")
THIN = Answer("thin", "Thin, light shows")
FUZZY = Answer("fuzzy", "Fuzzy, still dense")
SOUND = Answer("sound", "As dense as the shin")
ANSWERS = (THROUGH, THIN, FUZZY, SOUND)

LIGHT = "#fff3c4"
APART, YARN = 6.0, 4.8
THINNED = {1: 0.45, 2: 0.6, 3: 0.72}
"""How thick the yarns of a thin place are against those of the shin."""

HOLE = {1: 24.0, 2: 15.0, 3: 9.0}
HAIRS = {1: 60, 2: 36, 3: 22}
THIGH, SHIN, RADIUS = (98.0, 106.0), (262.0, 106.0), 76.0
WHY = {
    "through": "There is a hole: it goes on tearing beside any patch.",
    "thin": "The yarns are thinner than at the shin and more light comes between them.",
    "fuzzy": "Hairs stand up, and no more light comes through than at the shin.",
    "sound": "As dense as the shin, and no hair stands up.",
}


def _window(at: Point, colour: str, thick: float, place: str) -> list[Node]:
    """A round piece of cloth with light behind it."""
    x, y = at
    count = int(2 * RADIUS / APART)
    runs = [-RADIUS + APART * (k + 0.5) for k in range(count)]
    dark = shade(colour, 0.3)
    across = [
        line((x - RADIUS, y + r), (x + RADIUS, y + r), stroke=dark, stroke_width=thick)
        for r in runs
    ]
    down = [
        line(
            (x + r, y - RADIUS),
            (x + r, y + RADIUS),
            stroke=colour,
            stroke_width=thick,
            class_=f"yarn {place}",
        )
        for r in runs
    ]
    return [rect(x - RADIUS, y - RADIUS, 2 * RADIUS, 2 * RADIUS, fill=LIGHT), *across, *down]


def _hairs(colour: str, count: int, dice: Random) -> list[Node]:
    x, y = THIGH
    found: list[Node] = []
    for _ in range(count):
        a, b = x + dice.uniform(-58, 58), y + dice.uniform(-48, 48)
        run = [(a, b), (a + dice.uniform(-4, 4), b - 4), (a + dice.uniform(-9, 9), b - 8)]
        found.append(
            path(
                smooth(run),
                fill="none",
                stroke=shade(colour, -0.55),
                stroke_width=1.2,
                class_="hair",
            )
        )
    return found


def draw(level: int, dice: Random) -> Drawn:
    """Draw the cloth at the thigh and at the shin, both held to the light.

    Parameters
    ----------
    level : int
        1 has plain cases; at 3 thin cloth is hardly thinner, hairs are few and a hole is small.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    colour = CLOTHS[dice.choice(sorted(CLOTHS))]
    thin = truth in {"thin", "through"}
    thick = YARN * (THINNED[level] if thin else 1.0)
    body = _window(THIGH, colour, thick, "thigh")
    if truth in {"fuzzy", "through"} or (truth == "thin" and level > 1):
        body += _hairs(colour, HAIRS[level], dice)
    at = (THIGH[0] + dice.uniform(-30, 30), THIGH[1] + dice.uniform(-30, 30))
    if truth == "through":
        outline = blob(dice, at, HOLE[level], 0.25)
        body.append(
            path(
                smooth(outline, closed=True),
                fill="#fffdf2",
                stroke=shade(colour, 0.45),
                stroke_width=2,
                class_="gap",
            )
        )
    rings = [
        circle(each, RADIUS, fill="none", stroke=INK, stroke_width=BOLD) for each in (THIGH, SHIN)
    ]
    words = words_of(ANSWERS, truth)
    mark = shown_ring(at, HOLE[level] + 8, HOLE[level] + 8) if truth == "through" else None
    return Drawn(
        question="Held to the light, how is the cloth at the inner thigh?",
        title="Two places of one trouser leg held to the light",
        description="Two round pieces of the cloth of one leg with light behind them: the inner "
        "thigh, and the shin to go by.",
        body=[
            group(*body, clip_path=clipped("thigh")),
            group(*_window(SHIN, colour, YARN, "shin"), clip_path=clipped("shin")),
            *rings,
            label((THIGH[0], 20), "inner thigh", text_anchor="middle", fill=SOFT_INK),
            label((SHIN[0], 20), "shin", text_anchor="middle", fill=SOFT_INK),
        ],
        shown=[
            mark or shown_ring(THIGH, RADIUS - 3, RADIUS - 3),
            note((180, 206), words.lower(), text_anchor="middle", font_size=14),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=(
            clip("thigh", circle(THIGH, RADIUS)),
            clip("shin", circle(SHIN, RADIUS)),
        ),
        answers=ANSWERS,
        height=216,
    )


FAMILY = Family(
    id="thinning",
    name="Thin cloth against the light",
    about="Compare the thigh with the shin, and tell hairs on sound cloth from cloth gone thin.",
    zone="wear",
    signal_ids=("thigh_wear",),
    draw=draw,
)
