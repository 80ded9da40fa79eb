"""A print on a T-shirt: fresh, worn soft, cracked, or flaking off."""

from __future__ import annotations

from math import cos, pi, sin
from random import Random

from resale.training.drawings.blobs import blob, scattered
from resale.training.drawings.cloth import clip, clipped, filled, weave
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    BOLD,
    INK,
    MEDIUM,
    SOFT_INK,
    label,
    mix,
    note,
    shade,
    shown_ring,
)
from resale.training.drawings.svg import Node, Point, circle, group, path, polyline, rect, smooth

FLAKING = Answer("flaking", "Flaking off")
CRACKED = Answer("cracked", "Cracked")
SOFT = Answer("worn_soft", "Worn soft, whole")
FRESH = Answer("fresh", "As new")
ANSWERS = (FLAKING, CRACKED, SOFT, FRESH)
BARE = {1: 13.0, 2: 9.0, 3: 5.5}
"""Radius of the larger flakes."""

PALER = {1: 0.62, 2: 0.5, 3: 0.38}
"""How far a print that is worn soft has gone towards the cloth."""

CRACKS = {1: 30, 2: 22, 3: 15}
CLOTH = ("#4d5660", "#7d8f86", "#8b97a3", "#6b5a63")
INKS = (
    ("#e2b64a", "#e9e2d0", "#b5573f"),
    ("#f0e6cf", "#d98a5a", "#b9d0d4"),
    ("#e9e2d0", "#7ba79a", "#dfb35c"),
)
"""Of the sun and the water, of the hills, and of the sky behind."""

PLATE = (76.0, 30.0, 284.0, 216.0)
"""Left, top, right, bottom of the print."""

HALF: list[Point] = [(180, 26), (146, 20), (120, 6), (34, 14), (20, 40), (34, 44), (34, 240)]
"""The left half of the shirt, from the neck to the hem."""

WHY = {
    "flaking": "Flakes have gone and bare cloth looks out, with edges that lift: it sheds more "
    "with each wash.",
    "cracked": "A net of cracks, and yet no piece has gone: it broke where the cloth was stretched "
    "and folded.",
    "worn_soft": "Paler all over and the loops of the cloth come through, but nothing is broken: "
    "it moves with the cloth.",
    "fresh": "Full colour, whole edges, and no cloth through it.",
}


def _emblem(inks: tuple[str, ...]) -> list[Node]:
    """A print of nobody's: a sun over two hills and three lines of water."""
    left, top, right, bottom = PLATE
    first, second, sky = inks
    middle = (left + right) / 2
    sun: Point = (middle, top + 66)
    rays = "".join(
        polyline(
            [
                (sun[0] + 44 * cos(a), sun[1] + 44 * sin(a)),
                (sun[0] + 58 * cos(a), sun[1] + 58 * sin(a)),
            ]
        )
        for a in (2 * pi * k / 16 for k in range(16))
    )
    hills = [
        (left + 10, bottom - 56),
        (left + 46, bottom - 96),
        (left + 84, bottom - 62),
        (right - 70, bottom - 104),
        (right - 10, bottom - 56),
    ]
    waves = [
        rect(
            left + 10 + 8 * k, bottom - 48 + 15 * k, right - left - 20 - 16 * k, 8, rx=4, fill=first
        )
        for k in range(3)
    ]
    return [
        rect(left, top, right - left, bottom - top, rx=12, fill=sky, class_="plate"),
        circle(sun, 36, fill=first),
        path(rays, stroke=first, stroke_width=5, stroke_linecap="round", fill="none"),
        path(polyline(hills, closed=True), fill=second),
        *waves,
    ]


def _crack(dice: Random, level: int, bends: list[float]) -> Node:
    """One crack: along a fold of the cloth, with a branch that runs off."""
    left, _, right, _ = PLATE
    y = bends[dice.randrange(len(bends))] + dice.uniform(-9, 9)
    x = dice.uniform(left, right - 40)
    run = [(x, y)]
    for _ in range(5):
        x, y = x + dice.uniform(7, 16), y + dice.uniform(-6, 6)
        run.append((x, y))
    bx, by = run[2]
    branch = [
        (bx, by),
        (bx + dice.uniform(-5, 8), by + dice.uniform(7, 13)),
        (bx + dice.uniform(-9, 12), by + dice.uniform(14, 24)),
    ]
    return path(
        polyline(run) + polyline(branch),
        fill="none",
        stroke=filled("main"),
        stroke_width=1.9 - 0.25 * level,
        stroke_linejoin="bevel",
        class_="crack",
    )


def _flakes(dice: Random, level: int) -> list[Node]:
    left, top, right, bottom = PLATE
    parts: list[Node] = []
    for at in scattered(dice, 11, (left + 12, top + 10, right - 12, bottom - 10), 30):
        size = BARE[level] * dice.uniform(0.7, 1.0)
        outline = blob(dice, at, size, 0.42, count=11)
        lifted = [(x + 1.3, y + 1.6) for x, y in outline]
        parts += [
            path(polyline(lifted, closed=True), fill=INK, fill_opacity=0.3),
            path(
                polyline(outline, closed=True),
                fill=filled("main"),
                stroke="#fffdf6",
                stroke_width=0.9,
                class_="bare",
            ),
        ]
    return parts


def _loops_through(colour: str) -> Node:
    """Loops of the cloth that come through a thin print, as small points."""
    left, top, right, bottom = PLATE
    dots = [
        f"M{left + 6 * c + 3 * (r % 2):.1f} {top + 5 * r:.1f}h2.4"
        for r in range(int((bottom - top) / 5))
        for c in range(int((right - left) / 6))
    ]
    return path("".join(dots), stroke=colour, stroke_width=1.3, fill="none", class_="through")


def draw(level: int, dice: Random) -> Drawn:
    """Draw the front of a T-shirt with its print.

    Parameters
    ----------
    level : int
        At higher levels flakes are smaller, cracks fewer and a worn print is less pale.
    dice : Random
        Chance of this exercise.
    """
    truth = dice.choice(ANSWERS).id
    cloth = CLOTH[dice.randrange(len(CLOTH))]
    inks = INKS[dice.randrange(len(INKS))]
    # What was printed long ago is a little paler too, whatever else became of it.
    paler = PALER[level] if truth == "worn_soft" else 0.0
    if truth in {"cracked", "flaking"} and level > 1:
        paler = 0.16
    faded = tuple(mix(one, cloth, paler) for one in inks)
    over: list[Node] = []
    if truth == "cracked":
        bends = [58.0, 100.0, 146.0, 192.0]
        over = [_crack(dice, level, bends) for _ in range(CRACKS[level])]
    elif truth == "flaking":
        over = _flakes(dice, level)
    elif truth == "worn_soft":
        over = [_loops_through(cloth)]
    left, top, right, bottom = PLATE
    window = rect(left, top, right - left, bottom - top, rx=12)
    return Drawn(
        question="What state is the print in?",
        title="The front of a T-shirt",
        description="The front of a T-shirt, seen close, with a print of a sun over two hills.",
        body=[
            path(_shirt(), fill=filled("main"), stroke=INK, stroke_width=BOLD, class_="cloth"),
            path(
                smooth([(128, 8), (150, 20), (180, 24), (210, 20), (232, 8)]),
                fill="none",
                stroke=shade(cloth, 0.35),
                stroke_width=7,
            ),
            group(*_emblem(faded), class_="print"),
            group(*over, clip_path=clipped("print")),
            path(_shirt(), fill="none", stroke=INK, stroke_width=MEDIUM),
            label((350, 256), "seen close", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            shown_ring((180, 150), 84, 52),
            note((16, 256), words_of(ANSWERS, truth).lower(), font_size=14),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=(weave("main", cloth, strength=0.1), clip("print", window)),
        answers=ANSWERS,
        caution="Fine cracks are liked on old wanted prints: say what you see, the print's own "
        "question pays for its age.",
    )


def _shirt() -> str:
    return polyline(
        [*HALF, *((360 - x, y) for x, y in reversed(HALF[1:]))],
        closed=True,
    )


FAMILY = Family(
    id="prints",
    name="State of a print",
    about="Tell a print that wore soft from one that cracked and one that comes off.",
    zone="wear",
    signal_ids=("print_state",),
    draw=draw,
)
