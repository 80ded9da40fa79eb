"""Scales on a skin: a print that repeats, or scales of which no two are alike."""

from __future__ import annotations

from random import Random

from resale.training.drawings.cloth import clip, clipped
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    INK,
    SOFT_INK,
    label,
    mix,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, Point, group, path, rect, smooth

LEFT, TOP, RIGHT, BOTTOM = 12.0, 12.0, 348.0, 232.0
NONE = Answer("none", "No scales: smooth leather")
PRINTED = Answer("printed", "A print: the scales repeat")
PERHAPS = Answer("perhaps_real", "Perhaps real: hold it for the lead")
ANSWERS = (NONE, PRINTED, PERHAPS)
REPEAT = {1: (2, 2), 2: (4, 3), 3: (6, 4)}
"""After how many scales across and down a print begins again."""

UNEVEN = 0.16
HIDES = ("#7b6a4a", "#6a5a3e", "#5d5247", "#84613f", "#4f5b4a")
WHY = {
    "none": "No plate and no fold bounds anything: a smooth skin with a few wrinkles.",
    "printed": "Look for a scale with an odd corner and find its twin a little further on: the "
    "plate that pressed it was laid down again. One flat skin, printed.",
    "perhaps_real": "No scale is the twin of another, and soft folds lie between them. You need "
    "not decide what it is: looking real is enough to hold it.",
}
ACROSS, DOWN = 28.9, 25.0
"""Distance of two columns of scales and of two rows."""


def _scale(dice: Random) -> list[Point]:
    """One scale about its own middle: six corners, each off a little."""
    corners = ((-0.5, 0.0), (-0.27, -0.5), (0.27, -0.5), (0.5, 0.0), (0.27, 0.5), (-0.27, 0.5))
    return [
        (
            (a + dice.uniform(-UNEVEN, UNEVEN) * 0.8) * 35.0,
            (b + dice.uniform(-UNEVEN, UNEVEN)) * 24.0,
        )
        for a, b in corners
    ]


def _skin(dice: Random, level: int, printed: bool, colour: str) -> list[Node]:
    across, down = REPEAT[level]
    plate = {(c, r): _scale(dice) for c in range(across) for r in range(down)}
    parts: list[Node] = []
    for row in range(int((BOTTOM - TOP) / DOWN) + 2):
        for column in range(int((RIGHT - LEFT) / ACROSS) + 2):
            x = LEFT + column * ACROSS
            y = TOP + row * DOWN + (DOWN / 2 if column % 2 else 0)
            shape = plate[column % across, row % down] if printed else _scale(dice)
            tint = shade(colour, 0.0 if printed else dice.uniform(-0.1, 0.14))
            light = [(x + a * 0.62 - 2, y + b * 0.56 - 2) for a, b in shape[:4]]
            parts += [
                path(
                    smooth([(x + a, y + b) for a, b in shape], closed=True, tension=0.55),
                    fill=tint,
                    stroke=shade(colour, 0.42),
                    stroke_width=1.1,
                    class_="scale",
                ),
                path(
                    smooth(light),
                    fill="none",
                    stroke=shade(colour, -0.32),
                    stroke_width=1.3,
                    stroke_linecap="round",
                    stroke_opacity=0.75,
                ),
            ]
    return parts


def _smooth(dice: Random, level: int, colour: str) -> list[Node]:
    """A plain skin; at harder levels with more creases, that cross and yet bound nothing."""
    parts: list[Node] = []
    for _ in range(10 + 8 * level):
        x, y = dice.uniform(LEFT, RIGHT), dice.uniform(TOP, BOTTOM)
        run = [
            (x, y),
            (x + dice.uniform(16, 40), y + dice.uniform(-12, 12)),
            (x + dice.uniform(44, 84), y + dice.uniform(-22, 22)),
        ]
        parts.append(
            path(
                smooth(run),
                fill="none",
                stroke=mix(colour, INK, 0.3),
                stroke_width=dice.uniform(0.6, 1.3),
                stroke_linecap="round",
                class_="crease",
            )
        )
    return parts


def draw(level: int, dice: Random) -> Drawn:
    """Draw a piece of skin.

    Parameters
    ----------
    level : int
        A print begins again after 4, 12 or 24 scales, and a smooth skin has more creases.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    colour = dice.choice(HIDES)
    ground = shade(colour, 0.0 if truth == "none" else 0.34)
    skin = (
        _smooth(dice, level, colour)
        if truth == "none"
        else _skin(dice, level, truth == "printed", colour)
    )
    first: Point = (LEFT + 3 * ACROSS, TOP + 4 * DOWN + DOWN / 2)
    twin = (first[0] + REPEAT[level][0] * ACROSS, first[1])
    words = words_of(ANSWERS, truth).split(": ")[0].lower()
    width, height = RIGHT - LEFT, BOTTOM - TOP
    return Drawn(
        question="What do you enter for this skin?",
        title="A piece of skin",
        description="A piece of leather seen close, from above, in one light.",
        body=[
            group(
                rect(LEFT, TOP, width, height, fill=ground, class_="ground"),
                *skin,
                clip_path=clipped("skin"),
            ),
            rect(LEFT, TOP, width, height, fill="none", stroke=INK, stroke_width=BOLD),
            label((348, 250), "seen close", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            *(shown_ring(at, 23, 19) for at in ((first, twin) if truth == "printed" else (first,))),
            note((150, 254), words, text_anchor="middle", font_size=14),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=(clip("skin", rect(LEFT, TOP, width, height)),),
        answers=ANSWERS,
        caution="Trade in skins of protected animals is a matter for the authority where the shop "
        "stands; nobody at the desk decides it.",
    )


FAMILY = Family(
    id="scales",
    name="Scales: printed or perhaps real",
    about="Find the twin that gives a print away, and hold what has none.",
    zone="cloth",
    signal_ids=("skin_doubt",),
    draw=draw,
)
