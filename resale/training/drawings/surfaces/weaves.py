"""Cloth under a glass: which thread lies over which, or which loop hangs in which."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

from resale.training.drawings.cloth import clip, clipped
from resale.training.drawings.exercise import Answer, words_of
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    CLOTHS,
    INK,
    SOFT_INK,
    label,
    mix,
    note,
    shade,
    shown_line,
)
from resale.training.drawings.surfaces.glass import handle, rim
from resale.training.drawings.surfaces.loops import loops
from resale.training.drawings.svg import (
    Node,
    Point,
    circle,
    group,
    line,
    polyline,
    rect,
)

CENTRE: Point = (150.0, 128.0)
GLASS = 112.0
PITCH = {1: 19.0, 2: 14.0, 3: 10.5}
"""Distance of two threads on the sheet: what the glass makes of them."""

APART = {1: 0.34, 2: 0.24, 3: 0.15}
"""How far the two sets of threads differ in colour."""

PLAIN = Answer("plain_weave", "Plain weave")
TWILL = Answer("twill", "Twill")
SATIN = Answer("satin", "Satin")
JERSEY = Answer("jersey", "Knitted: jersey")
FANCY = Answer("fancy", "Herringbone")
PILE = Answer("pile", "Cord or velvet pile")
OFFERED = {
    1: (PLAIN, TWILL, JERSEY),
    2: (PLAIN, TWILL, JERSEY, PILE),
    3: (PLAIN, TWILL, SATIN, JERSEY, FANCY),
}
WHY = {
    "plain_weave": "Over one, under one, and the next row the other way round: a plain weave.",
    "twill": "Each row goes over two and under two and steps one thread to the side, so the overs "
    "run aslant: a twill.",
    "satin": "Each thread floats over four and dips under one, and the dips never touch: a satin "
    "face.",
    "jersey": "No thread runs straight: loops hang in loops, and stand in columns of small Vs. It "
    "is knitted.",
    "fancy": "A twill whose slant turns back every few threads: herringbone.",
    "pile": "Ribs of cut ends stand up from the ground with a valley between: a pile, such as "
    "cord.",
}
Over = Callable[[int, int], bool]
"""Whether the upright thread lies on top where a column and a row cross."""

ZIGZAG = 6
"""Threads after which a herringbone turns back."""


def _herringbone(column: int, row: int) -> bool:
    place = column % (2 * ZIGZAG)
    step = place if place < ZIGZAG else 2 * ZIGZAG - 1 - place
    return (step + row) % 4 < 2


WEAVES: dict[str, Over] = {
    "plain_weave": lambda column, row: (column + row) % 2 == 0,
    "twill": lambda column, row: (column + row) % 4 < 2,
    "satin": lambda column, row: (column + 2 * row) % 5 != 0,
    "fancy": _herringbone,
}


def _bar(x: float, y: float, wide: float, high: float, colour: str, name: str) -> Node:
    """A piece of thread that lies on top, with a light along its back."""
    start, end = (
        ((x + wide * 0.36, y + 3), (x + wide * 0.36, y + high - 3))
        if high > wide
        else ((x + 3, y + high * 0.36), (x + wide - 3, y + high * 0.36))
    )
    return group(
        rect(
            x,
            y,
            wide,
            high,
            rx=min(wide, high) * 0.46,
            fill=colour,
            stroke=shade(colour, 0.42),
            stroke_width=0.8,
            class_=name,
        ),
        line(start, end, stroke=shade(colour, -0.35), stroke_width=1.2, stroke_linecap="round"),
    )


def _woven(over: Over, pitch: float, warp: str, weft: str) -> list[Node]:
    """Every crossing: the thread below first, then the one on top."""
    count, left, top = _grid(pitch)
    thick, reach = pitch * 0.8, pitch * 1.1
    inset, shift = (pitch - thick) / 2, (pitch - reach) / 2
    below: list[Node] = []
    above: list[Node] = []
    for row in range(count):
        for column in range(count):
            x, y = left + column * pitch, top + row * pitch
            off = (x + pitch / 2 - CENTRE[0], y + pitch / 2 - CENTRE[1])
            if off[0] ** 2 + off[1] ** 2 > (GLASS + pitch) ** 2:
                continue
            upright = (x + inset, y + shift, thick, reach, warp, "warp-over")
            level = (x + shift, y + inset, reach, thick, weft, "weft-over")
            lower, upper = (level, upright) if over(column, row) else (upright, level)
            below.append(rect(*lower[:4], fill=shade(lower[4], 0.22)))
            above.append(_bar(*upper))
    return [*below, *above]


def _grid(pitch: float) -> tuple[int, float, float]:
    """How many threads each way, and where the first ones begin."""
    count = int(2 * GLASS / pitch) + 2
    return count, CENTRE[0] - count * pitch / 2, CENTRE[1] - count * pitch / 2


def _knitted(pitch: float, colour: str) -> list[Node]:
    """Columns of Vs: each loop comes out of the one below it."""
    wide, high = pitch * 1.5, pitch * 1.25
    columns, rows = int(2 * GLASS / wide) + 2, int(2 * GLASS / high) + 3
    corner = (CENTRE[0] - columns * wide / 2, CENTRE[1] - rows * high / 2)
    return loops(corner, (columns, rows), (wide, high), colour)


def _piled(dice: Random, pitch: float, colour: str) -> list[Node]:
    """Ribs of cut ends with a valley between them."""
    rib = pitch * 2.6
    count = int(2 * GLASS / rib) + 2
    left, (x0, y0) = CENTRE[0] - count * rib / 2, CENTRE
    parts: list[Node] = [
        rect(x0 - GLASS, y0 - GLASS, 2 * GLASS, 2 * GLASS, fill=shade(colour, 0.34))
    ]
    for x in (left + k * rib for k in range(count)):
        wide = rib * 0.76
        parts.append(
            rect(x, y0 - GLASS - 4, wide, 2 * GLASS + 8, rx=rib * 0.2, fill=colour, class_="rib")
        )
        for _ in range(int(760 / pitch)):
            at = (x + wide * dice.random(), y0 + GLASS * dice.uniform(-1, 1))
            far = abs((at[0] - x) / wide - 0.5) * 2
            parts.append(
                line(
                    at,
                    (at[0] + dice.uniform(-1.6, 1.6), at[1] + 3.6),
                    stroke=shade(colour, -0.28 + 0.55 * far + dice.uniform(-0.08, 0.08)),
                    stroke_width=1.1,
                    stroke_linecap="round",
                    class_="tuft",
                )
            )
    return parts


def draw(level: int, dice: Random) -> Drawn:
    """Draw a piece of cloth under a glass.

    Parameters
    ----------
    level : int
        1 offers three structures, 2 four and 3 five, finer and with the threads more alike.
    dice : Random
        Chance of this exercise.
    """
    answers = OFFERED[level]
    truth = dice.choice(answers).id
    colour = CLOTHS[dice.choice(sorted(CLOTHS))]
    pitch = PITCH[level]
    weft = mix(colour, "#fffdf8" if dice.random() < 0.5 else INK, APART[level])
    if truth == "jersey":
        cloth = _knitted(pitch, colour)
    elif truth == "pile":
        cloth = _piled(dice, pitch, colour)
    else:
        cloth = _woven(WEAVES[truth], pitch, colour, weft)
    words = words_of(answers, truth)
    (x, y), side = CENTRE, 2 * GLASS
    return Drawn(
        question="How is this cloth made?",
        title="Cloth under a glass",
        description="A round piece of cloth under a magnifying glass, drawn large.",
        body=[
            *handle(CENTRE, GLASS),
            group(
                rect(x - GLASS, y - GLASS, side, side, fill=shade(colour, 0.5)),
                *cloth,
                clip_path=clipped("glass"),
            ),
            *rim(CENTRE, GLASS),
            label((350, 24), "under a glass", text_anchor="end", font_size=11, fill=SOFT_INK),
        ],
        shown=[
            shown_line(polyline(_followed(truth, pitch))),
            note((352, 120), words.split(": ")[-1].lower(), text_anchor="end", font_size=13),
        ],
        truth=truth,
        why=WHY[truth],
        definitions=(clip("glass", circle(CENTRE, GLASS)),),
        answers=answers,
    )


def _followed(truth: str, pitch: float) -> list[Point]:
    """What to follow with the eye: the slant, a column of Vs, across the ribs, or one thread."""
    count, left, top = _grid(pitch)
    x, y = CENTRE
    middle = count // 2

    def at(column: float, row: float) -> Point:
        return left + (column + 0.5) * pitch, top + (row + 0.5) * pitch

    if truth == "twill":
        start = next(c for c in range(middle, middle + 4) if (c + middle) % 4 == 0) + 0.5
        return [at(start + 3, middle - 3), at(start - 3, middle + 3)]
    if truth == "fancy":
        turn = next(c for c in range(middle - 5, middle + 7) if c % (2 * ZIGZAG) == ZIGZAG) - 0.5
        row = next(r for r in range(middle - 2, middle + 2) if (ZIGZAG - 1 + r) % 4 == 0) + 0.5
        return [at(turn - 3, row + 3), at(turn, row), at(turn + 3, row + 3)]
    if truth == "jersey":
        wide = pitch * 1.5
        columns = int(2 * GLASS / wide) + 2
        x = CENTRE[0] - columns * wide / 2 + (columns // 2 + 0.5) * wide
        return [(x, y - 60), (x, y + 60)]
    if truth == "pile":
        return [(x - 60, y), (x + 60, y)]
    return [at(middle - 3, middle), at(middle + 3, middle)]


FAMILY = Family(
    id="weaves",
    name="Cloth under a glass",
    about="Tell plain weave, twill, satin, herringbone, pile and knit by their threads.",
    zone="cloth",
    signal_ids=("cloth_weave",),
    draw=draw,
)
