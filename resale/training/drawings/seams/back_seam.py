"""A check that steps at the centre-back seam: measure the step in millimetres.

The seam runs down the back, so it is the check's lines across the back that meet there; those
that run along it never do.
"""

from __future__ import annotations

from random import Random

from resale.training.drawings.cloth import clip, clipped, filled, ruler, weave
from resale.training.drawings.family import Drawn, Family
from resale.training.drawings.palette import (
    INK,
    MEDIUM,
    SOFT_INK,
    label,
    mix,
    note,
    shade,
    shown_line,
)
from resale.training.drawings.svg import Node, group, line, path, rect

LEFT, RIGHT, TOP, BOTTOM = 6.0, 354.0, 10.0, 234.0
SEAM = 118.0
RULER_LEFT = 30.0
SCALE = {1: 7.5, 2: 6.0, 3: 5.0}
"""Drawing units to the millimetre."""
STEP = {1: 1.0, 2: 0.5, 3: 0.5}
MOST = {1: 4.0, 2: 4.0, 3: 3.5}
LEAN = {1: 0.0, 2: 0.0, 3: 0.16}
"""Sideways run of the lines for each unit away from the seam."""
CLOTH = ("#9aa1a6", "#a89a8a", "#93a098", "#a39aa8")


def _lines(places: list[float], way: int, lean: float, colour: str, level: int) -> list[Node]:
    """Lines of one panel, from the seam outwards; ``way`` is -1 above and 1 below."""
    far = (TOP if way < 0 else BOTTOM) - SEAM
    parts = []
    for x in places:
        run = lean * far
        parts.append(
            line(
                (x, SEAM),
                (x + run, SEAM + far),
                stroke=colour,
                stroke_width=2.4,
                class_="chalk " + ("upper" if way < 0 else "lower"),
            )
        )
        if level > 1:
            parts.append(
                line(
                    (x + 7, SEAM),
                    (x + 7 + run, SEAM + far),
                    stroke=colour,
                    stroke_width=0.9,
                    stroke_opacity=0.8,
                )
            )
    return parts


def _along(repeat: float, way: int, lean: float, colour: str, level: int) -> list[Node]:
    """Lines of the check that run beside the seam, square to those that cross it."""
    far = (SEAM - TOP) if way < 0 else (BOTTOM - SEAM)
    slope = -lean if way < 0 else lean
    parts = []
    for k in range(-1, round(far / repeat) + 2):
        y = SEAM + way * (k + 0.6) * repeat
        start, end = (LEFT, y - slope * (RIGHT - LEFT) / 2), (RIGHT, y + slope * (RIGHT - LEFT) / 2)
        parts.append(line(start, end, stroke=colour, stroke_width=2.0, class_="along"))
        if level > 1:
            parts.append(
                line(
                    (start[0], start[1] + 7),
                    (end[0], end[1] + 7),
                    stroke=colour,
                    stroke_width=0.9,
                    stroke_opacity=0.8,
                )
            )
    return parts


def _panel(way: int, parts: list[Node]) -> Node:
    """Keep what is drawn on one side of the seam."""
    return group(*parts, clip_path=clipped("upper" if way < 0 else "lower"))


def _shown(first: float, out: float, scale: float) -> list[Node]:
    there = first + out * scale
    if out == 0:
        return [
            shown_line(f"M{first:.2f} {SEAM - 40}V{SEAM + 40}"),
            note((first + 8, 92), "no step"),
        ]
    d = f"M{first:.2f} {SEAM - 34}V{SEAM}H{there:.2f}V{SEAM + 34}"
    text = f"{abs(out):g} mm"
    return [
        shown_line(d),
        note(((first + there) / 2, SEAM - 42), text, text_anchor="middle", font_size=14),
    ]


def draw(level: int, dice: Random) -> Drawn:
    """Draw the back of a jacket laid on its side, its seam along a clear ruler.

    Parameters
    ----------
    level : int
        1 asks for whole millimetres, 2 and 3 for halves; the check grows fainter, and at 3 its
        lines lean.
    dice : Random
        Chance of this exercise.
    """
    scale = SCALE[level]
    repeat = dice.choice((10, 11, 12)) * scale
    out = dice.randint(0, round(MOST[level] / STEP[level])) * STEP[level]
    out *= dice.choice((-1, 1))
    out = out or 0.0
    ground = dice.choice(CLOTH)
    chalk = mix("#fbf6ea", ground, 0.1 * level)
    # A check woven the same both ways; the lines to read stand out a little.
    soft = mix("#fbf6ea", ground, 0.1 * level + 0.25)
    # One upper line sits on a whole millimetre at level 1, anywhere after that.
    first = (
        RULER_LEFT + (dice.randint(7, 12) + (0 if level == 1 else dice.choice((0, 0.5)))) * scale
    )
    upper = [first + k * repeat for k in range(-6, 8)]
    lower = [x + out * scale for x in upper]
    lean = LEAN[level] * dice.choice((-1, 1))
    panels = [
        group(
            rect(LEFT, TOP, RIGHT - LEFT, BOTTOM - TOP, fill=filled("ground")),
            _panel(
                -1, [*_along(repeat, -1, lean, soft, level), *_lines(upper, -1, lean, chalk, level)]
            ),
            _panel(
                1, [*_along(repeat, 1, -lean, soft, level), *_lines(lower, 1, -lean, chalk, level)]
            ),
        ),
        rect(LEFT, TOP, RIGHT - LEFT, BOTTOM - TOP, fill="none", stroke=SOFT_INK, stroke_width=0.8),
        rect(LEFT, SEAM, RIGHT - LEFT, 5, fill=INK, fill_opacity=0.14),
        path(f"M{LEFT} {SEAM}H{RIGHT}", stroke=INK, stroke_width=MEDIUM, class_="seam"),
    ]
    length = int((RIGHT - RULER_LEFT - 24) / scale) * scale
    clear = group(
        ruler(
            (RULER_LEFT, SEAM),
            length,
            scale,
            steps_to_long=10,
            steps_to_middle=5,
            numbers=1,
            height=44,
            unit="mm",
        ),
        opacity=0.82,
    )
    return Drawn(
        question="By how many millimetres do the cross lines of the check step at the seam?",
        title="A check at the centre-back seam",
        description="The back of a checked jacket laid on its side. The seam runs from left to "
        "right with a clear ruler along it; the check's cross lines come to it from above and "
        "from below.",
        body=[*panels, clear, _see_through(lower, scale, length, lean, chalk), _caption()],
        shown=_shown(first, out, scale),
        truth=abs(out),
        why=_why(abs(out)),
        definitions=(
            weave("ground", ground, twill=True),
            clip("upper", rect(LEFT, TOP, RIGHT - LEFT, SEAM - TOP)),
            clip("lower", rect(LEFT, SEAM, RIGHT - LEFT, BOTTOM - SEAM)),
        ),
        unit="mm",
        tolerance=0.5,
        height=256,
    )


def _see_through(lower: list[float], scale: float, length: float, lean: float, chalk: str) -> Node:
    """The lower lines again, seen through the ruler."""
    edge = RULER_LEFT + length + 7
    seen = [x for x in lower if RULER_LEFT - 6 < x < edge]
    return group(
        *(
            line(
                (x, SEAM),
                (x - lean * 44, SEAM + 44),
                stroke=shade(chalk, 0.75),
                stroke_width=2.4,
                stroke_opacity=0.6,
            )
            for x in seen
        )
    )


def _caption() -> Node:
    return label((LEFT + 4, 250), "back of a jacket, laid on its side")


def _why(out: float) -> str:
    if out == 0:
        return "The cross lines above run straight on below: no step."
    return (
        f"Read the ruler where a line arrives from above and where the nearest one leaves below: "
        f"{out:g} mm apart."
    )


FAMILY = Family(
    id="back_seam",
    name="Step at the back seam",
    about="Measure how far the cross lines of a check step at the centre-back seam.",
    zone="shoulder",
    signal_ids=("pattern_seams",),
    draw=draw,
)
