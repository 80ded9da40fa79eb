"""A whole set, half of one, or a jacket made to stand alone."""

from __future__ import annotations

from random import Random

from resale.training.drawings.cloth import filled, weave
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.outline.hung import Measures, jacket, trousers, waistcoat
from resale.training.drawings.palette import (
    BRASS,
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
from resale.training.drawings.svg import Node, Point, Ref, Value, line, node, rect

ORPHAN = Answer("orphan", "Orphan of a suit")
ALONE = Answer("stands_alone", "Made to stand alone")
TWO = Answer("two_piece", "Two pieces, complete")
THREE = Answer("three_piece", "Three pieces, complete")
ANSWERS = (ORPHAN, ALONE, TWO, THREE)

MARKS = {1: 3, 2: 2, 3: 1}
"""How many things tell that a jacket stands alone: cloth, pockets, buttons."""

BESIDE = {1: 0.35, 2: 0.7, 3: 1.0}
"""How often trousers that do not belong hang beside a jacket without its own."""

OFF = {1: 0.5, 2: 0.28, 3: 0.14}
"""How far the cloth of such trousers is from the jacket's."""

JACKET, LEGS, VEST = (104.0, 44.0), (236.0, 40.0), (318.0, 44.0)
TELLS = ("a cloth with a check", "pockets sewn on", "buttons of another colour")


def _checked(name: str, colour: str) -> Node:
    pen: dict[str, Value] = {"stroke": shade(colour, 0.4), "stroke_width": 1.3}
    return node(
        "pattern",
        rect(0, 0, 14, 14, fill=colour),
        line((4, 0), (4, 14), class_="check", **pen),
        line((0, 4), (14, 4), class_="check", **pen),
        id=Ref("cloth-" + name),
        width=14,
        height=14,
        patternUnits="userSpaceOnUse",
    )


def _lot(at: Point, number: str, of: str) -> list[Node]:
    x, y = at
    return [
        rect(x - 33, y - 13, 66, 19, rx=2, fill="#fbf8f0", stroke=INK, stroke_width=MEDIUM),
        label((x, y + 1), f"lot {number}", text_anchor="middle", font_size=11, class_=f"lot {of}"),
    ]


def _other(dice: Random, lot: str, level: int) -> str:
    """Another lot: at the third level two figures change places."""
    if level < 3:
        return f"{dice.randint(1000, 9999)}"
    return lot[0] + lot[2] + lot[1] + lot[3]


def draw(level: int, dice: Random) -> Drawn:
    """Draw a jacket and what came in one bag with it, each with the lot on its inside label.

    Parameters
    ----------
    level : int
        1 has plain cases; at 2 and 3 trousers of a like cloth hang there that do not belong.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    colour = CLOTHS[sorted(CLOTHS)[dice.randrange(len(CLOTHS))]]
    figures = dice.sample("123456789", 4)
    lot = "".join(figures)
    alone = truth == "stands_alone"
    tells = set(dice.sample(range(3), MARKS[level])) if alone else set()
    button = BRASS if 2 in tells else shade(colour, 0.5)
    patch = 1 in tells
    body = jacket(
        JACKET, Measures(), filled("main"), shade(colour, 0.16), button=button, patch=patch
    )
    body += _lot((JACKET[0], 198), lot, "jacket-lot")
    tiles = [(_checked if 0 in tells else weave)("main", colour)]
    marks = [shown_ring((JACKET[0], 194), 40, 14)]
    whole = truth in {"two_piece", "three_piece"}
    stray = not whole and dice.random() < BESIDE[level]
    if whole or stray:
        number = lot if whole else _other(dice, lot, level)
        other = (
            colour if whole else mix(colour, dice.choice((INK, "#7a5230", "#fffdf8")), OFF[level])
        )
        tiles.append(weave("legs", other))
        body += [*trousers(LEGS, filled("legs")), *_lot((LEGS[0], 198), number, "other-lot")]
        marks.append(shown_ring((LEGS[0], 194), 40, 14))
    if truth == "three_piece":
        body += [*waistcoat(VEST, filled("main"), button), *_lot((VEST[0], 168), lot, "other-lot")]
        marks.append(shown_ring((VEST[0], 164), 38, 14))
    words = words_of(ANSWERS, truth)
    return Drawn(
        question="Is it a full set, half of one, or a jacket by itself?",
        title="What came in one bag",
        description="Clothes that came in one bag, hung side by side, with the number of the lot "
        "that stands on the small inside label of each.",
        body=[
            *body,
            label((350, 222), "lot: inside label", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[*marks, note((180, 248), words.lower(), text_anchor="middle", font_size=14)],
        truth=truth,
        why=_why(truth, sorted(tells), stray=stray),
        definitions=tiles,
        answers=ANSWERS,
        caution="Two dark blues look alike under shop light: compare the lots at the window.",
    )


def _why(truth: str, tells: list[int], *, stray: bool) -> str:
    if truth in {"two_piece", "three_piece"}:
        return "Every piece has the same lot and the same cloth."
    beside = " The trousers beside it are of another lot." if stray else ""
    if truth == "stands_alone":
        told = ", ".join(TELLS[k] for k in tells)
        return f"It has {told}: such a jacket never had trousers of its own.{beside}"
    return (
        "Plain smooth cloth, pockets cut in and matching buttons, and nothing of its lot beside "
        f"it: half a suit.{beside}"
    )


FAMILY = Family(
    id="set_whole",
    name="A whole set or half of one",
    about="Compare cloth and lot of what came in together, and tell half a suit from a jacket.",
    zone="label",
    signal_ids=("set_whole",),
    draw=draw,
)
