"""What lies in a chamber, each by itself: a cluster of down, a feather, threads of wadding."""

from __future__ import annotations

from itertools import pairwise
from math import cos, pi, sin
from random import Random

from resale.training.drawings.palette import INK, mix, shade
from resale.training.drawings.svg import Node, Point, circle, group, path, polyline, smooth, turned

DOWN, QUILL, FIBRE = "#f4efe2", "#d8c69a", "#e6edf2"


def _ray(at: Point, angle: float, length: float, bend: float) -> list[Point]:
    """A hair that leaves a middle and bends to one side."""
    x, y = at
    side = angle + pi / 2
    return [
        (
            x + length * t * cos(angle) + bend * t * t * cos(side),
            y + length * t * sin(angle) + bend * t * t * sin(side),
        )
        for t in (0.0, 0.33, 0.66, 1.0)
    ]


def cluster(dice: Random, at: Point, radius: float) -> Node:
    """A cluster of down: soft hairs on all sides of one small knot, each with finer hairs.

    Parameters
    ----------
    dice : Random
        Chance of this exercise.
    at : Point
        Its knot.
    radius : float
    """
    hairs: list[Node] = []
    fine: list[str] = []
    count = 26
    for k in range(count):
        angle = 2 * pi * (k + dice.uniform(-0.35, 0.35)) / count
        run = _ray(at, angle, radius * dice.uniform(0.78, 1.06), radius * dice.uniform(-0.3, 0.3))
        hairs.append(
            path(
                smooth(run),
                fill="none",
                stroke=mix(DOWN, INK, dice.uniform(0.0, 0.12)),
                stroke_width=1.1,
                stroke_linecap="round",
            )
        )
        for here, there in pairwise(run[1:]):
            for side in (-1, 1):
                tip = (
                    there[0] + side * 0.16 * (there[1] - here[1]) + (there[0] - here[0]) * 0.2,
                    there[1] - side * 0.16 * (there[0] - here[0]) + (there[1] - here[1]) * 0.2,
                )
                fine.append(polyline([here, tip]))
    hairs.append(
        path("".join(fine), fill="none", stroke=DOWN, stroke_width=0.6, stroke_opacity=0.75)
    )
    hairs.append(circle(at, radius * 0.09, fill=shade(DOWN, 0.16)))
    return group(*hairs, class_="cluster")


def feather(dice: Random, at: Point, length: float, turn: float) -> Node:
    """A small feather: a quill that can be felt, with a vane on either side.

    Parameters
    ----------
    dice : Random
        Chance of this exercise.
    at : Point
        Its middle.
    length : float
    turn : float
        Degrees, clockwise.
    """
    x, y = at
    bend = dice.uniform(-0.12, 0.12) * length

    def along(t: float, off: float = 0.0) -> Point:
        return turned((x + bend * t * t + off, y + length * (0.5 - t)), turn, at)

    parts: list[Node] = []
    barbs: list[str] = []
    soft: list[str] = []
    for k in range(34):
        t = 0.16 + 0.84 * k / 33
        wide = length * 0.2 * (1 - (2 * t - 1.05) ** 2 * 0.85)
        for side in (-1, 1):
            reach = side * max(wide, 0.8)
            tip = along(min(t + 0.13, 1.05), reach)
            middle = along(t + 0.04, reach * 0.55)
            (soft if t < 0.34 else barbs).append(smooth([along(t), middle, tip]))
    parts.append(path("".join(barbs), fill="none", stroke=DOWN, stroke_width=1.9))
    parts.append(path("".join(barbs), fill="none", stroke=shade(DOWN, 0.2), stroke_width=0.35))
    parts.append(path("".join(soft), fill="none", stroke=DOWN, stroke_width=0.8))
    parts.append(
        path(
            smooth([along(-0.02), along(0.3), along(0.65), along(1.0)]),
            fill="none",
            stroke=QUILL,
            stroke_width=length * 0.03,
            stroke_linecap="round",
            class_="quill",
        )
    )
    return group(*parts)


def sheet(dice: Random, at: Point, radius: float) -> list[Node]:
    """Wadding from the roll: endless even threads that cross in every direction.

    Parameters
    ----------
    dice : Random
        Chance of this exercise.
    at : Point
        Middle of what is seen.
    radius : float
        Of what is seen.
    """
    parts: list[Node] = []
    for _ in range(74):
        angle = dice.uniform(0, pi)
        off = dice.uniform(-radius, radius)
        mid = (at[0] - off * sin(angle), at[1] + off * cos(angle))
        reach = radius * 1.1
        sway = dice.uniform(-64, 64)
        run = [
            (mid[0] - reach * cos(angle), mid[1] - reach * sin(angle)),
            (mid[0] - sway * sin(angle), mid[1] + sway * cos(angle)),
            (mid[0] + reach * cos(angle), mid[1] + reach * sin(angle)),
        ]
        parts.append(_thread(run, mix(FIBRE, "#7d8994", dice.uniform(0, 0.5)), "fibre"))
    return parts


def ball(dice: Random, at: Point, radius: float) -> list[Node]:
    """Man-made threads wound to a ball, which passes for a cluster from a little way off.

    Parameters
    ----------
    dice : Random
        Chance of this exercise.
    at : Point
        Its middle.
    radius : float
    """
    parts: list[Node] = []
    for _ in range(12):
        start, squash = dice.uniform(0, 2 * pi), dice.uniform(0.35, 1.0)
        tilt, size = dice.uniform(0, 180), radius * dice.uniform(0.62, 1.0)
        run = [
            turned((at[0] + size * cos(a), at[1] + squash * size * sin(a)), tilt, at)
            for a in (start + 2 * pi * k / 9 for k in range(10))
        ]
        parts.append(_thread(run, mix(FIBRE, "#7d8994", dice.uniform(0, 0.45)), "fibre wound"))
    return parts


def _thread(run: list[Point], colour: str, named: str) -> Node:
    return path(smooth(run), fill="none", stroke=colour, stroke_width=1.3, class_=named)
