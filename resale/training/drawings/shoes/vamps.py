"""Where the foot bends: soft folds, deep creases, cracks in the face, or a split."""

from __future__ import annotations

from itertools import pairwise
from math import pi, sin
from random import Random

from resale.training.drawings.cloth import clip, clipped
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    INK,
    LEATHER_PALE,
    LINING,
    MEDIUM,
    RUBBER,
    SOFT_INK,
    label,
    mix,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, Point, circle, group, path, polyline, smooth

SPLIT = Answer("split", "Split through")
CRACKED = Answer("cracked", "Surface cracked")
CREASED = Answer("creased", "Deep creases")
SOFT = Answer("soft_folds", "Soft folds")
NEW = Answer("no_folds", "No folds")
OFFERED = {
    1: (SPLIT, SOFT, NEW),
    2: (SPLIT, CRACKED, SOFT, NEW),
    3: (SPLIT, CRACKED, CREASED, SOFT, NEW),
}
HIDES = ("#7d5235", "#6a4632", "#8a3f35", "#55504c", "#94693f")
GAPE = {1: 7.0, 2: 5.0, 3: 3.6}
"""Half the width of a split where it is widest."""

FINE_CRACK = {1: 3.0, 2: 2.8, 3: 2.2}
WHY = {
    "split": "It opens right through: the lining looks out of a hole with torn fibres. Nothing "
    "mends that so that it lasts.",
    "cracked": "Sharp lines with a pale bottom: the face of the leather has broken, and each bend "
    "opens it further.",
    "creased": "Deep dark folds, and no line is broken: plainly worn; trees and cream soften it.",
    "soft_folds": "Shallow folds that close again, as in any worn shoe that was looked after.",
    "no_folds": "Smooth where the foot would bend: it has hardly been walked in.",
}
UPPER: list[Point] = [
    (18, 196),
    (15, 172),
    (30, 146),
    (66, 133),
    (108, 127),
    (150, 108),
    (190, 76),
    (222, 44),
    (352, 36),
]
SOLE: list[Point] = [
    (14, 198),
    (120, 208),
    (240, 202),
    (352, 196),
    (352, 214),
    (120, 226),
    (16, 214),
]
FOLDS = (142.0, 168.0, 196.0, 222.0)
"""Where folds cross the vamp, along the sole."""


def _outline() -> str:
    return smooth(UPPER) + "L" + polyline([(352, 197), (240, 203), (120, 208), (18, 198)])[1:] + "Z"


def _top(x: float) -> float:
    """Height of the upper's edge above a place, roughly, as straight runs."""
    for (x1, y1), (x2, y2) in pairwise(UPPER):
        if x1 <= x <= x2:
            return y1 + (y2 - y1) * (x - x1) / (x2 - x1)
    return 120.0


def _fold(x: float, dice: Random) -> list[Point]:
    """A fold runs from the ridge of the vamp down to the welt, leaning back."""
    high, low = _top(x) + 7, 192.0
    sway = dice.uniform(-4, 4)
    return [
        (x + 9, high),
        (x + 4 + sway, high + (low - high) * 0.35),
        (x - 3 + sway, high + (low - high) * 0.7),
        (x - 12, low - dice.uniform(8, 24)),
    ]


def _shoe(hide: str) -> list[Node]:
    """Forepart of a shoe from the side: upper, cap, facing and sole."""
    cap = [(92, 130), (84, 152), (90, 180), (104, 206)]
    facing = [(214, 52), (236, 100), (244, 120), (300, 126), (352, 120)]
    eyes = [(250, 58), (256, 78), (262, 98)]
    dots = [circle(at, 3.4, fill=shade(hide, 0.6), stroke=INK) for at in eyes]
    return [
        path(_outline(), fill=hide, stroke=INK, stroke_width=BOLD, class_="upper"),
        path(
            polyline(SOLE, closed=True),
            fill=RUBBER,
            stroke=INK,
            stroke_width=BOLD,
            stroke_linejoin="round",
        ),
        path(smooth(cap), fill="none", stroke=INK, stroke_width=MEDIUM),
        path(smooth(facing), fill="none", stroke=INK, stroke_width=MEDIUM),
        *dots,
    ]


def _soft(dice: Random, hide: str) -> list[Node]:
    found: list[Node] = []
    for x in FOLDS[1:]:
        run = _fold(x, dice)
        for off, tint, wide in ((0.0, mix(hide, INK, 0.16), 6.0), (-4.5, shade(hide, -0.16), 3.0)):
            found.append(
                path(
                    smooth([(a + off, b) for a, b in run]),
                    fill="none",
                    stroke=tint,
                    stroke_width=wide,
                    stroke_linecap="round",
                    class_="fold soft",
                )
            )
    return found


def _creases(dice: Random, hide: str) -> list[Node]:
    found: list[Node] = []
    for x in FOLDS:
        run = _fold(x, dice)
        for off, tint, wide in ((0.0, mix(hide, INK, 0.72), 3.6), (-4.0, shade(hide, -0.28), 2.6)):
            found.append(
                path(
                    smooth([(a + off, b) for a, b in run]),
                    fill="none",
                    stroke=tint,
                    stroke_width=wide,
                    stroke_linecap="round",
                    class_="fold deep",
                )
            )
    return found


def _cracks(dice: Random, level: int) -> list[Node]:
    """Broken lines with a pale bottom, sharp at their ends."""
    found: list[Node] = []
    wide = FINE_CRACK[level]
    for x in FOLDS:
        run = _fold(x, dice)
        for start in (0.1, 0.5):
            part = [_at(run, start + 0.34 * k / 5) for k in range(6)]
            jag = [(a + dice.uniform(-2, 2), b) for a, b in part]
            pens = ((wide + 1.6, INK, ""), (wide, LEATHER_PALE, "crack"))
            for width, tint, named in pens:
                found.append(
                    path(
                        polyline(jag),
                        fill="none",
                        stroke=tint,
                        stroke_width=width,
                        stroke_linejoin="bevel",
                        **({"class_": named} if named else {}),
                    )
                )
    return found


def _at(run: list[Point], t: float) -> Point:
    place = t * (len(run) - 1)
    k = min(int(place), len(run) - 2)
    (x1, y1), (x2, y2), part = run[k], run[k + 1], place - k
    return x1 + (x2 - x1) * part, y1 + (y2 - y1) * part


def _splits(dice: Random, level: int) -> list[Node]:
    """Openings through which the lining is seen, with fibres across."""
    found: list[Node] = []
    for x in (dice.choice(FOLDS[:2]), dice.choice(FOLDS[2:])):
        run = _fold(x, dice)
        middle = [_at(run, 0.2 + 0.56 * k / 8) for k in range(9)]
        half = [GAPE[level] * sin(pi * k / 8) for k in range(9)]
        left = [(a - h, b + dice.uniform(-1, 1)) for (a, b), h in zip(middle, half, strict=True)]
        right = [(a + h, b + dice.uniform(-1, 1)) for (a, b), h in zip(middle, half, strict=True)]
        found.append(
            path(
                polyline([*left, *reversed(right)], closed=True),
                fill=LINING,
                stroke=INK,
                stroke_width=1.6,
                stroke_linejoin="bevel",
                class_="split",
            )
        )
        for k in (2, 3, 5, 6):
            a, b = left[k]
            found.append(
                path(
                    polyline([(a, b), (a + half[k] * 0.9, b + dice.uniform(-3, 3))]),
                    stroke=LEATHER_PALE,
                    stroke_width=1.2,
                    fill="none",
                )
            )
    return found


def draw(level: int, dice: Random) -> Drawn:
    """Draw the forepart of a shoe whose toe is pushed up and let go.

    Parameters
    ----------
    level : int
        1 offers three states, 2 four and 3 five, with smaller splits and finer cracks.
    dice : Random
        Chance of this exercise.
    """
    answers = OFFERED[level]
    truth = dice.choice(answers).id
    hide = HIDES[dice.randrange(len(HIDES))]
    over: list[Node] = []
    if truth == "soft_folds":
        over = _soft(dice, hide)
    elif truth == "creased":
        over = _creases(dice, hide)
    elif truth == "cracked":
        over = [*_soft(dice, hide), *_cracks(dice, level)]
    elif truth == "split":
        over = [*_soft(dice, hide), *_splits(dice, level)]
    return Drawn(
        question="What do you see where the foot bends?",
        title="The front half of a shoe",
        description="The front half of a shoe from the side, its toe to the left, after it was "
        "bent as in walking and let go.",
        body=[
            *_shoe(hide),
            group(*over, clip_path=clipped("upper")),
            label((14, 24), "bent, and let go", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            shown_ring((178, 150), 70, 46),
            note((180, 250), words_of(answers, truth).lower(), text_anchor="middle", font_size=14),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=(clip("upper", path(_outline())),),
        answers=answers,
        caution="Thick polish fills cracks and breaks out again when bent.",
        height=258,
    )


FAMILY = Family(
    id="vamps",
    name="Where the foot bends",
    about="Tell folds that close from cracks in the face and from a split.",
    zone="upper",
    signal_ids=("vamp_crack",),
    draw=draw,
)
