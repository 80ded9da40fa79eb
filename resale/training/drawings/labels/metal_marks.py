"""Marks in metal, read under a glass: precious, plated, or none."""

from __future__ import annotations

from random import Random

from resale.training.drawings.cloth import clip, clipped
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BRASS,
    METAL,
    SOFT_INK,
    label,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.surfaces.glass import handle, rim
from resale.training.drawings.svg import Node, Point, circle, ellipse, group, path, rect

NONE = Answer("none", "None found")
PLATED = Answer("plated", "Says that it is plated")
SILVER = Answer("silver", "Silver mark: hold it")
GOLD = Answer("gold", "Gold or platinum mark: hold it")
ANSWERS = (NONE, PLATED, SILVER, GOLD)
MARKS = {
    "none": {1: ("", ""), 2: ("54", "L-M", ""), 3: ("52", "KT", "No 14", "S 18")},
    "plated": {
        1: ("PLATED", "SILVER PLATE"),
        2: ("GP", "HGE", "RGP"),
        3: ("18K GP", "14K HGE", "1/20 12K GF", "18KT GEP"),
    },
    "silver": {1: ("925", "STERLING"), 2: ("800", "835", "925"), 3: ("800", "830", "835", "STER")},
    "gold": {1: ("750", "18K"), 2: ("585", "14K", "PT950"), 3: ("333", "375", "9CT", "950 PT")},
}
"""What may be stamped, by truth and level: the hardest have a number in them that misleads."""

WHY = {
    "none": "Nothing here speaks of a metal: a ring size, a pattern number or somebody's letters.",
    "plated": "Letters for plating stand beside it, so a number before them means the skin alone.",
    "silver": "Parts of silver in a thousand, or the word: it is held, weighed and judged by "
    "somebody who may.",
    "gold": "Parts of gold or platinum in a thousand, or carats of twenty-four: it is held, and "
    "judged by somebody who may.",
}
CENTRE: Point = (150.0, 128.0)
GLASS = 112.0


def _ring(colour: str) -> list[Node]:
    """The inside of a bangle, its far wall bright and its near edge dark."""
    x, y = CENTRE
    return [
        rect(x - GLASS, y - GLASS, 2 * GLASS, 2 * GLASS, fill=shade(colour, 0.5)),
        ellipse((x, y - 190), 280, 260, fill=shade(colour, -0.25), class_="wall"),
        ellipse((x, y - 196), 270, 222, fill=colour),
        ellipse((x, y - 214), 250, 190, fill=shade(colour, -0.42)),
    ]


def _stamp(text: str, colour: str, framed: bool) -> list[Node]:
    """A mark struck into the metal, with the light on its lower edge."""
    if not text:
        return []
    x, y = CENTRE
    size = 34.0 if len(text) <= 5 else 26.0 if len(text) <= 9 else 17.0
    wide = len(text) * size * 0.66 + 22
    parts: list[Node] = []
    if framed:
        parts.append(
            rect(
                x - wide / 2,
                y - 8 - size * 0.98,
                wide,
                size * 1.42,
                rx=size * 0.3,
                fill=shade(colour, 0.12),
                stroke=shade(colour, 0.5),
                stroke_width=1.6,
                class_="frame",
            )
        )
    for off, tint, named in (
        (1.3, shade(colour, -0.7), "light"),
        (0.0, shade(colour, 0.62), "mark"),
    ):
        parts.append(
            label(
                (x, y + off),
                text,
                text_anchor="middle",
                font_size=size,
                font_weight="bold",
                fill=tint,
                class_=named,
            )
        )
    return parts


def _scratches(dice: Random, level: int, colour: str) -> list[Node]:
    """Wear across the metal, which crosses a mark and makes none."""
    x, y = CENTRE
    found: list[Node] = []
    for _ in range(3 + 5 * level):
        a, b = x + dice.uniform(-90, 90), y + dice.uniform(-60, 40)
        d = f"M{a:.1f} {b:.1f}L{a + dice.uniform(14, 40):.1f} {b + dice.uniform(-10, 10):.1f}"
        found.append(
            path(d, stroke=shade(colour, dice.choice((-0.5, 0.3))), stroke_width=0.9, fill="none")
        )
    return found


def draw(level: int, dice: Random) -> Drawn:
    """Draw the inside of a bangle under a glass.

    Parameters
    ----------
    level : int
        1 has plain marks; at 3 numbers stand there that mean something else.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    stamped = MARKS[truth][level]
    text = stamped[dice.randrange(len(stamped))]
    # Colour tells nothing: what is plated is as yellow as what is not.
    colour = (METAL, BRASS, "#cfa764")[dice.randrange(3)]
    return Drawn(
        question="What do you enter for the mark in this bangle?",
        title="The inside of a bangle under a glass",
        description="The inside of a bangle under a magnifying glass. "
        + ("Letters or figures are stamped there." if text else "The metal is seen close."),
        body=[
            *handle(CENTRE, GLASS),
            group(
                *_ring(colour),
                *_scratches(dice, level, colour),
                *_stamp(text, colour, dice.random() < 0.6),
                clip_path=clipped("glass"),
            ),
            *rim(CENTRE, GLASS),
            label((350, 24), "inside a bangle", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            shown_ring((CENTRE[0], CENTRE[1] - 10), 86, 34),
            note((180, 268), words_of(ANSWERS, truth).lower(), text_anchor="middle", font_size=14),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=(clip("glass", circle(CENTRE, GLASS)),),
        answers=ANSWERS,
        caution="No acid, no file, no scratching. Marks are copied too: who may judge and buy "
        "precious metal is a matter of local law.",
        height=278,
    )


FAMILY = Family(
    id="metal_marks",
    name="Marks in metal",
    about="Tell marks of silver and gold, which are held, from plating and from other numbers.",
    zone="label",
    signal_ids=("metal_mark",),
    draw=draw,
)
