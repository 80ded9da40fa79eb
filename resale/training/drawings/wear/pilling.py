"""Pilled cloth: grade 5 is clear, grade 1 is dense all over.

How many pills make a grade is common practice put into numbers of our own; the wording follows
ISO 12945:2020 from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, sin
from random import Random

from resale.garments.measures.wear_grades import WearGrade, WearScale
from resale.training.drawings.cloth import clip, clipped, filled, weave
from resale.training.drawings.exercise import Answer
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    CLOTHS,
    INK,
    MEDIUM,
    mix,
    note,
    shade,
    shown_line,
)
from resale.training.drawings.svg import Node, Point, circle, group, path, rect

LEFT, TOP, RIGHT, BOTTOM = 20.0, 14.0, 340.0, 224.0
COLUMNS, ROWS = 8, 5


@dataclass(frozen=True, slots=True)
class Extent:
    """What a grade looks like: how many pills, over what share of the squares, how large."""

    least: int
    most: int
    share: float
    sizes: tuple[float, float]


EXTENTS: dict[int, Extent] = {
    5: Extent(0, 0, 0.0, (0, 0)),
    4: Extent(4, 7, 0.15, (2.0, 2.8)),
    3: Extent(18, 26, 0.42, (2.0, 5.0)),
    2: Extent(52, 66, 0.78, (2.6, 5.6)),
    1: Extent(150, 170, 1.0, (3.0, 6.2)),
}
OFFERED = {1: (5, 3, 1), 2: (5, 4, 3, 2, 1), 3: (5, 4, 3, 2, 1)}
# How much of the cloth's colour is in the pills; the rest is pale fluff.
BLEND = {1: 0.2, 2: 0.42, 3: 0.62}
SPECKS = {1: 0, 2: 60, 3: 420}


def _squares(dice: Random, share: float) -> list[tuple[int, int]]:
    """Squares that carry pills, grown from one spot, so that part of the area stays clear."""
    heart = (dice.uniform(1, COLUMNS - 1), dice.uniform(1, ROWS - 1))
    every = [(column, row) for column in range(COLUMNS) for row in range(ROWS)]
    every.sort(key=lambda at: (at[0] + 0.5 - heart[0]) ** 2 + 1.6 * (at[1] + 0.5 - heart[1]) ** 2)
    return every[: max(1, round(share * len(every)))]


def _places(dice: Random, count: int, share: float) -> list[Point]:
    """Spread pills over the squares, each square its turn, none touching another's middle."""
    if count == 0:
        return []
    wide, high = (RIGHT - LEFT) / COLUMNS, (BOTTOM - TOP) / ROWS
    squares = _squares(dice, share)
    order = (squares * (count // len(squares) + 1))[:count]
    found: list[Point] = []
    for column, row in order:
        for _ in range(30):
            at = (
                LEFT + (column + dice.uniform(0.04, 0.96)) * wide,
                TOP + (row + dice.uniform(0.04, 0.96)) * high,
            )
            if all((at[0] - x) ** 2 + (at[1] - y) ** 2 > 81 for x, y in found):
                break
        found.append(at)
    return found


def _pill(dice: Random, at: Point, size: float, colour: str) -> Node:
    """A ball of fluff with a few hairs and a shadow."""
    hairs = ""
    for _ in range(7):
        turn, bend = dice.uniform(0, 2 * pi), dice.uniform(-0.6, 0.6)
        far = size * dice.uniform(1.2, 1.7)
        hairs += (
            f"M{at[0] + 0.7 * size * cos(turn):.1f} {at[1] + 0.7 * size * sin(turn):.1f}"
            f"L{at[0] + far * cos(turn + bend):.1f} {at[1] + far * sin(turn + bend):.1f}"
        )
    return group(
        circle((at[0] + 0.8, at[1] + 1.6), size, fill=INK, fill_opacity=0.26),
        path(hairs, stroke=colour, stroke_width=0.8, fill="none"),
        circle(at, size, fill=colour, class_="pill"),
        circle(
            (at[0] - size * 0.2, at[1] - size * 0.25),
            size * 0.55,
            fill="#ffffff",
            fill_opacity=0.22,
        ),
    )


def _flecks(dice: Random, count: int, colour: str) -> list[Node]:
    """Flecks woven into the cloth: part of it, not pills."""
    runs: dict[str, list[str]] = {shade(colour, 0.3): [], shade(colour, -0.4): []}
    tones = tuple(runs)
    for _ in range(count):
        x, y = dice.uniform(LEFT, RIGHT), dice.uniform(TOP, BOTTOM)
        runs[dice.choice(tones)].append(f"M{x:.1f} {y:.1f}l{dice.uniform(2, 4.5):.1f} 0")
    return [path("".join(run), stroke=tone, stroke_width=1.1) for tone, run in runs.items() if run]


def _shown(grade: int, places: list[Point]) -> list[Node]:
    caption = f"grade {grade}: {len(places)} pills" if places else "grade 5: none"
    shown: list[Node] = [note((180, 244), caption, text_anchor="middle", font_size=14)]
    if 0 < len(places) < 30:
        shown[:0] = [
            # A pill at the lower edge is underlined on the cloth, not in the margin.
            shown_line(f"M{x - 8:.2f} {min(y + 8, BOTTOM - 3):.2f}h16", width=1.6)
            for x, y in places
        ]
    return shown


def draw(level: int, dice: Random) -> Drawn:
    """Draw a patch of cloth with as many pills as its grade has.

    Parameters
    ----------
    level : int
        1 offers three grades, 2 and 3 five, with pills ever nearer to the cloth's colour and specks
        that are none.
    dice : Random
        Chance of this exercise.
    """
    grade = dice.choice(OFFERED[level])
    extent = EXTENTS[grade]
    name = dice.choice(sorted(CLOTHS))
    colour = CLOTHS[name]
    places = _places(dice, dice.randint(extent.least, extent.most), extent.share)
    fluff = mix("#fbf7ef", colour, BLEND[level])
    pills = [_pill(dice, at, dice.uniform(*extent.sizes), fluff) for at in places]
    wording = WearGrade(WearScale.PILLING, float(grade)).wording
    return Drawn(
        question="How pilled is this cloth? 5 is clear, 1 is worst.",
        title="A patch of cloth under a slanting lamp",
        description="A square of knitted cloth, with whatever pills stand on it.",
        body=[
            group(
                rect(LEFT, TOP, RIGHT - LEFT, BOTTOM - TOP, fill=filled("worn")),
                *_flecks(dice, SPECKS[level], colour),
                *pills,
                clip_path=clipped("patch"),
            ),
            rect(
                LEFT,
                TOP,
                RIGHT - LEFT,
                BOTTOM - TOP,
                rx=4,
                fill="none",
                stroke=INK,
                stroke_width=MEDIUM,
            ),
        ],
        shown=_shown(grade, places),
        truth=str(grade),
        why=f"{len(places)} pills, over about {extent.share:.0%} of the patch: {wording}."
        if places
        else "Nothing stands on the cloth: as new.",
        definitions=(
            weave("worn", colour, strength=0.1),
            clip("patch", rect(LEFT, TOP, RIGHT - LEFT, BOTTOM - TOP, rx=4)),
        ),
        answers=tuple(
            Answer(str(each), WearGrade(WearScale.PILLING, float(each)).wording.capitalize())
            for each in OFFERED[level]
        ),
        height=256,
    )


FAMILY = Family(
    id="pilling",
    name="Grades of pilling",
    about="Grade pilling from 5, clear, to 1, dense all over.",
    zone="wear",
    signal_ids=("pilling",),
    draw=draw,
)
