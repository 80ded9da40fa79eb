"""Spots of no even shape: what a liquid, a mould or a moth leaves."""

from __future__ import annotations

from math import cos, pi, sin
from random import Random

from resale.training.drawings.svg import Point


def blob(
    dice: Random, at: Point, radius: float, rough: float, *, count: int = 14, flat: float = 1.0
) -> list[Point]:
    """Points round a spot that is nearly round.

    Parameters
    ----------
    dice : Random
        Chance of this exercise.
    at : Point
        Its middle, in units of the drawing.
    radius : float
    rough : float
        How far the edge wanders, as a part of the radius.
    count : int, optional
        Points.
    flat : float, optional
        Height against width.
    """
    reach = [radius * dice.uniform(1 - rough, 1 + rough) for _ in range(count)]
    return [
        (at[0] + r * cos(2 * pi * k / count), at[1] + flat * r * sin(2 * pi * k / count))
        for k, r in enumerate(reach)
    ]


def scattered(
    dice: Random, count: int, within: tuple[float, float, float, float], gap: float
) -> list[Point]:
    """Points strewn over a field, none nearer to another than a gap where that can be had.

    Parameters
    ----------
    dice : Random
        Chance of this exercise.
    count : int
    within : tuple of float
        Left, top, right, bottom.
    gap : float
        In units of the drawing.
    """
    left, top, right, bottom = within
    found: list[Point] = []
    for _ in range(count * 12):
        if len(found) == count:
            break
        x, y = dice.uniform(left, right), dice.uniform(top, bottom)
        if all((x - a) ** 2 + (y - b) ** 2 >= gap * gap for a, b in found):
            found.append((x, y))
    return found
