"""The colour that the eye keeps, from two steps away."""

from __future__ import annotations

from math import cos, radians, sin
from random import Random

from resale.training.drawings.cloth import filled
from resale.training.drawings.colour import Lab, hex_from_lab
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.outline.hung import Measures, jacket
from resale.training.drawings.palette import SOFT_INK, label, note, shade
from resale.training.drawings.svg import Node, Ref, circle, line, node, rect

DARK = Answer("dark", "Black, navy, charcoal")
PALE = Answer("pale", "White or pale")
MUTED = Answer("muted", "Grey, brown, olive")
CLEAR = Answer("clear", "A clear colour")
LOUD = Answer("loud", "Loud print or colour")
ANSWERS = (DARK, PALE, MUTED, CLEAR, LOUD)

LIGHT = {
    "dark": {1: (12, 18), 2: (16, 22), 3: (22, 27)},
    "pale": {1: (94, 97), 2: (91, 95), 3: (88, 91)},
    "muted": {1: (48, 62), 2: (45, 66), 3: (40, 70)},
    "clear": {1: (50, 60), 2: (48, 62), 3: (46, 64)},
    "loud": {1: (50, 66), 2: (50, 66), 3: (50, 66)},
}
"""CIELAB lightness, from and to, by answer and level."""

CHROMA = {
    "dark": {1: (0, 6), 2: (4, 12), 3: (8, 14)},
    "pale": {1: (0, 4), 2: (3, 8), 3: (6, 10)},
    "muted": {1: (2, 8), 2: (6, 12), 3: (10, 15)},
    "clear": {1: (48, 56), 2: (40, 50), 3: (34, 40)},
    "loud": {1: (44, 54), 2: (40, 50), 3: (36, 44)},
}
HUES = (20, 140, 255, 290)
"""Degrees of CIELAB hue: red, green, blue, violet."""

QUIET = (60, 80, 100, 250)
"""Of what is neither dark nor bright: browns, olive, a bluish grey."""

STRIPED = {1: 0.0, 2: 0.5, 3: 0.8}
"""How often a cloth has a fine stripe of another colour, which does not change what it is."""

MOTIF = {1: 9.0, 2: 7.0, 3: 5.2}
TILE = 24.0
WHY = {
    "dark": "Nearly black as a whole, whatever fine line runs through it.",
    "pale": "White or nearly so as a whole.",
    "muted": "Neither dark nor pale, and little colour in it: a grey, brown or olive.",
    "clear": "One plain colour that can be named from across the room.",
    "loud": "Two strong colours against each other: it is what is seen first and remembered.",
}


def _lab(dice: Random, truth: str, level: int, hue: float) -> Lab:
    chroma = dice.uniform(*CHROMA[truth][level])
    angle = radians(hue)
    return dice.uniform(*LIGHT[truth][level]), chroma * cos(angle), chroma * sin(angle)


def _tile(ground: str, over: list[Node]) -> Node:
    return node(
        "pattern",
        rect(0, 0, TILE, TILE, fill=ground, class_="ground"),
        *over,
        id=Ref("cloth-main"),
        width=TILE,
        height=TILE,
        patternUnits="userSpaceOnUse",
    )


def draw(level: int, dice: Random) -> Drawn:
    """Draw a jacket in one cloth.

    Parameters
    ----------
    level : int
        1 has plain colours far apart; 2 and 3 nearer ones, with a fine stripe that misleads.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    hues = QUIET if truth == "muted" else HUES
    hue = hues[dice.randrange(len(hues))]
    ground = hex_from_lab(_lab(dice, truth, level, hue))
    against = hex_from_lab(_lab(dice, "loud", level, hue + 180))
    over: list[Node] = []
    striped = truth != "loud" and dice.random() < STRIPED[level]
    if truth == "loud":
        r = MOTIF[level]
        over = [circle(at, r, fill=against, class_="motif") for at in ((6, 6), (18, 18))]
        if r > 6:
            over = [circle((12, 12), r, fill=against, class_="motif")]
    elif striped:
        tint = shade(ground, -0.75) if truth in {"dark", "muted"} else shade(ground, 0.45)
        over = [line((12, 0), (12, TILE), stroke=tint, stroke_width=1.1, class_="stripe")]
    dark = shade(ground, 0.12)
    words = words_of(ANSWERS, truth)
    return Drawn(
        question="Which colour do you enter for the jacket as a whole?",
        title="A jacket on a hanger in daylight",
        description="A jacket on a hanger, seen by daylight from two steps away.",
        body=[
            *jacket((180, 36), Measures(60, 22, 190), filled("main"), dark),
            label((348, 256), "by daylight", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[note((180, 250), words.lower(), text_anchor="middle", font_size=14)],
        truth=truth,
        why=WHY[truth] + (" A fine stripe does not change that." if striped else ""),
        definitions=(_tile(ground, over),),
        answers=ANSWERS,
        caution="Screens differ: take a real one to the window, as shop light makes navy black.",
    )


FAMILY = Family(
    id="colour_kept",
    name="Which colour it is",
    about="Name the colour that the eye keeps, and let no fine stripe mislead.",
    zone="whole",
    signal_ids=("colour",),
    draw=draw,
)
