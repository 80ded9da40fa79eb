"""Two shoes side by side from above: a pair, or two that only look like one."""

from __future__ import annotations

from random import Random

from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    INK,
    LINING,
    MEDIUM,
    SOFT_INK,
    arrow_line,
    label,
    mix,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, Point, Value, line, path, polyline, rect, smooth

SINGLE = Answer("single", "Not a pair: two of one side")
SIZES = Answer("sizes_differ", "Sizes differ")
SHADE = Answer("shade_differs", "Shade differs")
MATCHED = Answer("matched", "Matched")
ANSWERS = (SINGLE, SIZES, SHADE, MATCHED)
LONGER = {1: 1.1, 2: 1.065, 3: 1.04}
"""Length of the larger of two sizes against the smaller."""

PALER = {1: 0.34, 2: 0.22, 3: 0.13}
"""How far a shoe that stood in a window has gone towards paper."""

HIDES = ("#7d5235", "#3f3a38", "#8a3f35", "#5d6b52", "#a8774a")
SIZE = {1: 2, 2: 1, 3: 1}
HEEL, LONG = 208.0, 172.0
AT = (112.0, 248.0)
WHY = {
    "single": "Both bend to the same side: two left ones, or two right ones, and nobody can wear "
    "them.",
    "sizes_differ": "Heels level, one toe lies further forward, and the numbers inside say so too: "
    "look for the other halves.",
    "shade_differs": "Same side by side in everything but colour: one stood in the light.",
    "matched": "One left and one right, the same numbers, the same length and the same colour.",
}
OUTLINE: list[Point] = [
    (0.0, 0.0),
    (-0.13, -0.06),
    (-0.16, -0.26),
    (-0.17, -0.48),
    (-0.235, -0.68),
    (-0.19, -0.86),
    (-0.07, -0.97),
    (0.08, -1.0),
    (0.18, -0.91),
    (0.2, -0.73),
    (0.14, -0.46),
    (0.13, -0.24),
    (0.12, -0.05),
]
"""A left shoe from above, in lengths of it from the heel: its inner side is to the right."""


def _shoe(at: float, long: float, side: int, hide: str) -> list[Node]:
    """One shoe from above; side 1 is a left one, -1 a right one."""

    def place(x: float, y: float) -> Point:
        return at + side * x * long, HEEL + y * long

    pen: dict[str, Value] = {"stroke": INK, "stroke_width": MEDIUM, "stroke_linejoin": "round"}
    opening = [
        (-0.09, -0.05),
        (-0.11, -0.25),
        (-0.07, -0.42),
        (0.07, -0.42),
        (0.12, -0.25),
        (0.1, -0.05),
    ]
    tongue = [(-0.055, -0.36), (-0.05, -0.6), (0.05, -0.6), (0.06, -0.36)]
    cap = [(-0.2, -0.78), (-0.02, -0.83), (0.18, -0.8)]
    parts = [
        path(
            smooth([place(x, y) for x, y in OUTLINE], closed=True),
            fill=hide,
            stroke=INK,
            stroke_width=BOLD,
            class_="shoe",
        ),
        path(
            smooth([place(x, y) for x, y in opening], closed=True),
            fill=LINING,
            class_="opening",
            **pen,
        ),
        path(
            polyline([place(x, y) for x, y in tongue], closed=True), fill=shade(hide, 0.15), **pen
        ),
        path(smooth([place(x, y) for x, y in cap]), fill="none", **pen),
    ]
    for k in range(4):
        y = -0.4 - 0.055 * k
        parts.append(
            line(
                place(-0.075, y), place(0.08, y - 0.012), stroke=shade(hide, -0.6), stroke_width=2.4
            )
        )
    # The ball of the big toe stands out on the inner side.
    parts.append(
        path(
            smooth([place(0.17, -0.62), place(0.15, -0.72), place(0.1, -0.76)]),
            fill="none",
            stroke=shade(hide, -0.35),
            stroke_width=1.6,
        )
    )
    return parts


def _number(at: float, text: str, named: str) -> list[Node]:
    return [
        rect(at - 34, 216, 68, 19, rx=2, fill="#fbf8f0", stroke=INK, stroke_width=MEDIUM),
        label((at, 230), text, text_anchor="middle", font_size=12, class_=f"label stamped {named}"),
    ]


def draw(level: int, dice: Random) -> Drawn:
    """Draw two shoes from above, heels level, with the numbers that stand inside.

    Parameters
    ----------
    level : int
        At higher levels sizes and shades lie nearer to each other.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    hide = HIDES[dice.randrange(len(HIDES))]
    size, style = dice.randint(38, 44), dice.randint(1000, 9999)
    odd = dice.randrange(2)
    sides, longs, hides, sizes = [1, -1], [LONG, LONG], [hide, hide], [size, size]
    if truth == "single":
        sides[odd] = -sides[odd]
    elif truth == "sizes_differ":
        longs[1 - odd] /= LONGER[level]
        sizes[1 - odd] -= SIZE[level]
    elif truth == "shade_differs":
        hides[odd] = mix(hide, "#e8dcc4", PALER[level])
    body = [
        one
        for k in (0, 1)
        for one in (
            *_shoe(AT[k], longs[k], sides[k], hides[k]),
            *_number(AT[k], f"{sizes[k]} / {style}", ("one", "two")[k]),
        )
    ]
    tops = [HEEL - long for long in longs]
    shown: list[Node] = [
        line((60, min(tops)), (300, min(tops)), stroke=SOFT_INK, stroke_width=0.8),
    ]
    if truth == "sizes_differ":
        x = AT[1 - odd]
        shown.append(arrow_line((x, min(tops)), (x, max(tops))))
    else:
        shown += [shown_ring((x, HEEL - LONG * 0.66), 48, 52) for x in AT]
    return Drawn(
        question="Are these two a pair?",
        title="Two shoes from above",
        description="Two shoes side by side from above, heels level, and below each the size and "
        "style number that stand inside it.",
        body=[
            line((40, HEEL + 2), (320, HEEL + 2), stroke=SOFT_INK, stroke_width=1.2),
            *body,
            label((350, 20), "heels level", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            *shown,
            note((180, 256), words_of(ANSWERS, truth).lower(), text_anchor="middle", font_size=14),
        ],
        truth=truth,
        why=WHY[truth],
        answers=ANSWERS,
    )


FAMILY = Family(
    id="pairs",
    name="A true pair",
    about="Set two side by side: one left and one right, same numbers, same length, same shade.",
    zone="label",
    signal_ids=("pair_match",),
    draw=draw,
)
