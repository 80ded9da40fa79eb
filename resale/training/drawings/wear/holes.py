"""A damaged place held to the window: eaten, torn, scorched, an open seam, or only a snag."""

from __future__ import annotations

from collections.abc import Callable
from math import cos, pi, sin
from random import Random

from resale.training.drawings.cloth import filled, stitch, weave
from resale.training.drawings.exercise import Answer
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
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
from resale.training.drawings.svg import Node, Point, ellipse, line, path, polyline, rect, smooth

LEFT, TOP, RIGHT, BOTTOM = 8.0, 8.0, 352.0, 236.0
LIGHT = "#fffaf0"
SEAM_Y = 190.0
# Damage of the cloth itself lies clear of the seam.
LOWEST = 120.0
MOTH = Answer("moth", "Moth damage")
TEAR = Answer("hole", "Hole or tear")
SPARK = Answer("spark", "Hole: a spark burnt it")
SEAM = Answer("seam_failure", "Open seam")
SNAG = Answer("snag", "A pulled thread, nothing missing")
OFFERED = {
    1: (MOTH, TEAR, SPARK),
    2: (MOTH, TEAR, SPARK, SEAM, SNAG),
    3: (MOTH, TEAR, SPARK, SEAM, SNAG),
}
SIZE = {1: 1.0, 2: 0.8, 3: 0.5}
"""How large the damage is; and how plain its telling signs are."""
SIGNALS = {
    "moth": ("moth",),
    "hole": ("hole",),
    "spark": ("hole",),
    "seam_failure": ("seam_failure",),
    "snag": ("hole",),
}
WHY = {
    "moth": "Clean round holes with no torn thread about them, and a track where the nap was "
    "grazed: eaten. Bag it before it goes past other wool.",
    "hole": "The threads are broken and their ends stand into the gap: torn or worn through.",
    "spark": "The rim is hard and brown where heat ran the fibres together: a spark, no moth.",
    "seam_failure": "The gap lies on the seam line and the stitches are gone there; the cloth "
    "itself is whole.",
    "snag": "A thread is pulled up into a loop and the cloth is drawn, but nothing is missing: it "
    "can be eased back.",
}
Damage = tuple[list[Node], Point, float]
"""What is drawn over the cloth, where it lies, and the reach of the reveal's ring."""


def _blob(dice: Random, at: Point, radius: float, rough: float) -> list[Point]:
    """Points round a hole that is nearly round."""
    count = 14
    reach = [radius * dice.uniform(1 - rough, 1 + rough) for _ in range(count)]
    return [
        (at[0] + r * cos(2 * pi * k / count), at[1] + r * sin(2 * pi * k / count))
        for k, r in enumerate(reach)
    ]


def _opening(outline: list[Point], colour: str, *, curved: bool) -> Node:
    d = smooth(outline, closed=True) if curved else polyline(outline, closed=True)
    return path(d, fill=LIGHT, stroke=shade(colour, 0.35), stroke_width=1.0, class_="opening")


def _moth(dice: Random, size: float, colour: str) -> Damage:
    at = (dice.uniform(110, 210), dice.uniform(76, LOWEST))
    holes = dice.randint(2, 4)
    track = [(at[0] + k * 26 * size, at[1] + dice.uniform(-16, 16) * size) for k in range(-1, 5)]
    parts: list[Node] = [
        path(
            smooth(track),
            fill="none",
            stroke=mix(colour, "#fffdf8", 0.25 + 0.3 * size),
            stroke_width=10 * size,
            stroke_linecap="round",
            class_="grazed",
        )
    ]
    for place in track[1 : 1 + holes]:
        radius = dice.uniform(6, 11) * size
        parts.append(_opening(_blob(dice, place, radius, 0.12), colour, curved=True))
    end = track[-1]
    case = ellipse(
        end, 9 * size, 3.4 * size, fill="#efe3c8", stroke=SOFT_INK, stroke_width=0.8, class_="case"
    )
    return [*parts, case], track[2], 74 * size


def _ends(dice: Random, start: Point, end: Point, way: Point, colour: str) -> list[Node]:
    """Broken threads along an edge, standing into the gap."""
    parts = []
    for k in range(1, 9):
        x, y = (start[i] + (end[i] - start[i]) * k / 9 for i in (0, 1))
        reach = dice.uniform(5, 11)
        tip = (x + way[0] * reach + dice.uniform(-2, 2), y + way[1] * reach + dice.uniform(-2, 2))
        parts.append(
            line(
                (x - way[0] * 3, y - way[1] * 3),
                tip,
                stroke=shade(colour, 0.3),
                stroke_width=1.1,
                class_="thread-end",
            )
        )
    return parts


def _tear(dice: Random, size: float, colour: str) -> Damage:
    """Torn along the threads both ways, as cloth tears on a nail."""
    x, y = dice.uniform(110, 180), dice.uniform(56, 84)
    long, down, gap = 86 * size, 66 * size, 13 * size
    outline = [
        (x, y),
        (x + long, y - gap * 0.4),
        (x + long + gap, y + down * 0.5),
        (x + long, y + down),
        (x + long - gap, y + down * 0.6),
        (x + long - gap * 0.7, y + gap),
    ]
    ends = [
        *_ends(dice, outline[0], outline[1], (0, 1), colour),
        *_ends(dice, outline[1], outline[3], (-1, 0), colour),
    ]
    middle = (x + long * 0.7, y + down * 0.35)
    return [_opening(outline, colour, curved=False), *ends], middle, 72 * size


def _spark(dice: Random, size: float, colour: str) -> Damage:
    at = (dice.uniform(110, 250), dice.uniform(70, LOWEST))
    outline = _blob(dice, at, 15 * size, 0.2)
    hole = _opening(outline, colour, curved=True)
    rim = path(
        smooth(outline, closed=True),
        fill="none",
        stroke=mix(colour, "#3d2312", 0.75),
        stroke_width=2.5 + 4.5 * size,
        stroke_linejoin="round",
        class_="rim",
    )
    halo = path(
        smooth(_blob(dice, at, 23 * size, 0.14), closed=True),
        stroke="none",
        fill=mix(colour, "#7a4a22", 0.35),
        class_="scorch",
    )
    return [halo, hole, rim], at, 44 * size + 6


def _seam_line(colour: str, gap: tuple[float, float] | None) -> list[Node]:
    y = SEAM_Y
    parts: list[Node] = [
        rect(LEFT, y - 0.7, RIGHT - LEFT, 5, fill=INK, fill_opacity=0.16),
        line((LEFT, y), (RIGHT, y), stroke=INK, stroke_width=MEDIUM, class_="seam"),
    ]
    x = LEFT + 4
    while x + 8 < RIGHT:
        if gap is None or not gap[0] - 9 < x < gap[1]:
            parts.append(
                stitch((x, y + 6), (x + 8, y + 6), shade(colour, -0.75), 1.9, class_="sewn")
            )
        x += 12
    return parts


def _open_seam(dice: Random, size: float, colour: str) -> Damage:
    left = dice.uniform(90, 170)
    right = left + 96 * size
    middle = (left + right) / 2
    outline: list[Point] = [
        (left, SEAM_Y),
        (middle, SEAM_Y - 12 * size),
        (right, SEAM_Y),
        (middle, SEAM_Y + 10 * size),
    ]
    tails = [
        path(
            f"M{x:.2f} {SEAM_Y + 6:g}q5 {4 * way:g} 9 {9 * way:g}",
            fill="none",
            stroke=shade(colour, -0.75),
            stroke_width=1.4,
            class_="tail",
        )
        for x, way in ((left - 4, 1), (right - 4, -1))
    ]
    return [_opening(outline, colour, curved=True), *tails], (middle, SEAM_Y), 66 * size


def _snag(dice: Random, size: float, colour: str) -> Damage:
    x, y = dice.uniform(120, 230), dice.uniform(90, LOWEST)
    reach = 60 * size + 14
    drawn = [
        line(
            (x - reach, y + off),
            (x + reach, y + off),
            stroke=shade(colour, 0.28 - 0.04 * abs(off)),
            stroke_width=1.0,
            class_="drawn",
        )
        for off in (-3, 0, 3)
    ]
    high = 26 * size + 6
    loop = path(
        f"M{x:.2f} {y:.2f}C{x - high:.2f} {y - high * 1.5:.2f} {x + high:.2f} "
        f"{y - high * 1.5:.2f} {x + 3:.2f} {y:.2f}",
        fill="none",
        stroke=shade(colour, -0.45),
        stroke_width=2.2,
        class_="loop",
    )
    return [*drawn, loop], (x, y - high * 0.5), 30 + 30 * size


DRAW: dict[str, Callable[[Random, float, str], Damage]] = {
    "moth": _moth,
    "hole": _tear,
    "spark": _spark,
    "seam_failure": _open_seam,
    "snag": _snag,
}


def draw(level: int, dice: Random) -> Drawn:
    """Draw a piece of cloth with one damage, the window behind it.

    Parameters
    ----------
    level : int
        1 offers three damages, 2 and 3 five, ever smaller, and with a seam in every picture.
    dice : Random
        Chance of this exercise.
    """
    answers = OFFERED[level]
    truth = dice.choice(answers).id
    colour = CLOTHS[dice.choice(sorted(CLOTHS))]
    damage, at, reach = DRAW[truth](dice, SIZE[level], colour)
    seam: list[Node] = []
    if level > 1:
        # A seam in every picture, so that a seam alone says nothing.
        broken = [n for n in damage if truth == "seam_failure" and n.tag == "path"][:1]
        half = 48 * SIZE[level]
        seam = _seam_line(colour, (at[0] - half, at[0] + half) if broken else None)
    words = next(answer.text for answer in answers if answer.id == truth)
    return Drawn(
        question="What happened to this place?",
        title="A damaged place, held to the window",
        description="A piece of cloth close up, held against the light, with one place of damage.",
        body=[
            rect(
                LEFT,
                TOP,
                RIGHT - LEFT,
                BOTTOM - TOP,
                fill=filled("main"),
                stroke=INK,
                stroke_width=MEDIUM,
            ),
            *seam,
            *damage,
            label((350, 254), "held to the window", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            shown_ring(at, reach, min(reach, 46)),
            note((180, 32), words.split(": ")[-1].lower(), text_anchor="middle", font_size=14),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=(weave("main", colour, twill=dice.random() < 0.5),),
        answers=answers,
        signal_ids=SIGNALS[truth],
        caution="Old and live moth look alike: what may be eaten is bagged and held until it has "
        "been treated.",
    )


FAMILY = Family(
    id="holes",
    name="Holes and what made them",
    about="Tell eaten, torn, scorched and open-seamed from each other, and from a mere snag.",
    zone="wear",
    signal_ids=("moth", "hole", "seam_failure"),
    draw=draw,
)
