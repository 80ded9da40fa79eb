"""Faces of a surface: pores as they grew, a print that repeats, or a nap."""

from __future__ import annotations

from math import cos, sin
from random import Random

from resale.training.drawings.blobs import scattered
from resale.training.drawings.palette import INK, mix, shade
from resale.training.drawings.svg import Node, circle, line, path, polyline, smooth

Box = tuple[float, float, float, float]
"""Left, top, right and bottom, in units of the drawing."""


def pored(dice: Random, colour: str, plain: float, box: Box) -> list[Node]:
    """Pores in groups, and wrinkles of no even run.

    Parameters
    ----------
    dice : Random
        Chance of this exercise.
    colour : str
        Hex colour of the hide.
    plain : float
        How far the figure stands off from it.
    box : tuple of float
    """
    left, top, right, bottom = box
    dark = mix(colour, INK, plain * 1.5)
    parts: list[Node] = []
    for centre in scattered(dice, 26, (left + 10, top + 8, right - 10, bottom - 8), 24):
        for _ in range(dice.randint(2, 6)):
            at = (centre[0] + dice.gauss(0, 7), centre[1] + dice.gauss(0, 5))
            parts.append(circle(at, dice.uniform(0.7, 1.7), fill=dark, class_="pore"))
    for _ in range(11):
        run = [(dice.uniform(left, right - 80), dice.uniform(top + 12, bottom - 12))]
        turn = dice.uniform(-0.5, 0.5)
        for _ in range(6):
            turn += dice.uniform(-0.5, 0.5)
            run.append((run[-1][0] + 15 * cos(turn), run[-1][1] + 15 * sin(turn)))
        parts.append(
            path(
                smooth(run),
                fill="none",
                stroke=dark,
                stroke_opacity=0.7,
                stroke_width=dice.uniform(0.6, 1.3),
                stroke_linecap="round",
                class_="wrinkle",
            )
        )
    return parts


def printed(dice: Random, colour: str, plain: float, box: Box) -> list[Node]:
    """One small figure, over and over in even rows, under a shine.

    Parameters
    ----------
    dice : Random
        Chance of this exercise.
    colour : str
        Hex colour of the hide.
    plain : float
        How far the figure stands off from it.
    box : tuple of float
    """
    left, top, right, bottom = box
    step_x, step_y = dice.uniform(15, 19), dice.uniform(12, 15)
    figure = [
        (6.2 * dice.uniform(0.7, 1) * cos(t), 4.4 * dice.uniform(0.7, 1) * sin(t))
        for t in (0.3, 1.6, 2.8, 4.0, 5.2)
    ]
    dark = mix(colour, INK, plain * 1.4)
    parts: list[Node] = []
    for row in range(int((bottom - top) / step_y) + 1):
        for column in range(int((right - left) / step_x) + 2):
            x = left + column * step_x + (step_x / 2 if row % 2 else 0)
            y = top + 6 + row * step_y
            parts.append(
                path(
                    smooth([(x + a, y + b) for a, b in figure], closed=True),
                    fill=shade(colour, 0.06),
                    stroke=dark,
                    stroke_width=0.9,
                    class_="figure",
                )
            )
    slant = [(left + 60, top), (left + 120, top), (left + 40, bottom), (left - 20, bottom)]
    shine = path(
        polyline(slant, closed=True), fill=shade(colour, -0.35), fill_opacity=0.28, class_="shine"
    )
    return [*parts, shine]


def napped(dice: Random, colour: str, plain: float, box: Box) -> list[Node]:
    """Short fibres; a stroke of the hand laid some of them the other way.

    Parameters
    ----------
    dice : Random
        Chance of this exercise.
    colour : str
        Hex colour of the hide.
    plain : float
        How far the stroke stands off from the rest.
    box : tuple of float
    """
    left, top, right, bottom = box
    bend = dice.uniform(120, 240)
    parts: list[Node] = []
    for _ in range(900):
        x, y = dice.uniform(left, right), dice.uniform(top, bottom)
        stroked = abs(x - bend - 18 * sin(y / 20)) < 46
        lean = (-0.9 if stroked else 0.7) + dice.uniform(-0.35, 0.35)
        tone = (0.3 if stroked else -0.1) * (0.6 + plain) + dice.uniform(-0.14, 0.1)
        parts.append(
            line(
                (x, y),
                (x + 5.4 * sin(lean), y - 5.4 * cos(lean)),
                stroke=shade(colour, tone),
                stroke_width=1.2,
                stroke_linecap="round",
                class_="nap",
            )
        )
    return parts
