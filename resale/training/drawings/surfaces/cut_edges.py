"""Cut edges: fibre all through, a film on woven threads, or crumbs under a film."""

from __future__ import annotations

from math import cos, pi, sin
from random import Random

from resale.training.drawings.blobs import scattered
from resale.training.drawings.palette import mix, shade
from resale.training.drawings.surfaces.faces import Box
from resale.training.drawings.svg import Node, circle, path, polyline, rect, smooth

FILM = 7.0
"""Thickness of a film, in units of the drawing."""


def fibre_edge(dice: Random, colour: str, box: Box) -> list[Node]:
    """Fibre all through, finer towards the face.

    Parameters
    ----------
    dice : Random
        Chance of this exercise.
    colour : str
        Hex colour of the face.
    box : tuple of float
    """
    left, top, right, bottom = box
    ground = mix(colour, "#d9b58a", 0.55)
    parts: list[Node] = [rect(left, top, right - left, bottom - top, fill=ground)]
    for _ in range(330):
        x, deep = dice.uniform(left, right - 12), dice.random() ** 0.8
        y = top + 3 + deep * (bottom - top - 5)
        long = 5 + 9 * deep
        run = [
            (x, y),
            (x + long / 2, y + dice.uniform(-2, 2)),
            (x + long, y + dice.uniform(-2.4, 2.4)),
        ]
        parts.append(
            path(
                smooth(run),
                fill="none",
                stroke=shade(ground, dice.uniform(-0.3, 0.4)),
                stroke_width=0.8,
                class_="edge-fibre",
            )
        )
    return parts


def woven_edge(dice: Random, colour: str, box: Box) -> list[Node]:
    """A film, and under it threads cut across.

    Parameters
    ----------
    dice : Random
        Chance of this exercise.
    colour : str
        Hex colour of the face.
    box : tuple of float
    """
    left, top, right, bottom = box
    y, step = top + FILM + 15 + dice.uniform(0, 2), 6.0
    count = int((right - left) / step) + 1
    wave = [(left + k * step, y + (6.5 if k % 2 else -6.5)) for k in range(count)]
    other = [(x, 2 * y - b) for x, b in wave]
    return [
        rect(left, top, right - left, bottom - top, fill="#cfc4ae"),
        _film(colour, box),
        *(
            path(smooth(run), fill="none", stroke=tint, stroke_width=3.2, class_="edge-thread")
            for run, tint in ((wave, "#8f8468"), (other, "#a89c7d"))
        ),
        *(
            circle(
                (left + k * step, y),
                3.3,
                fill="#e6dcc4",
                stroke="#6b6055",
                stroke_width=0.8,
                class_="edge-cut",
            )
            for k in range(1, count, 2)
        ),
    ]


def crumb_edge(dice: Random, colour: str, box: Box) -> list[Node]:
    """A film, and under it crumbs pressed together.

    Parameters
    ----------
    dice : Random
        Chance of this exercise.
    colour : str
        Hex colour of the face.
    box : tuple of float
    """
    left, top, right, bottom = box
    ground = mix(colour, "#b98f66", 0.5)
    parts: list[Node] = [
        rect(left, top, right - left, bottom - top, fill=ground),
        _film(colour, box),
    ]
    for x, y in scattered(dice, 150, (left + 4, top + 12, right - 4, bottom - 4), 6.4):
        turn, long = dice.uniform(0, pi), dice.uniform(2.4, 5.2)
        corners = [
            (
                x + long * cos(turn + k * pi / 2) * (1 if k % 2 else 0.6),
                y + 0.7 * long * sin(turn + k * pi / 2),
            )
            for k in range(4)
        ]
        tint = shade(ground, dice.uniform(-0.35, 0.3))
        parts.append(path(polyline(corners, closed=True), fill=tint, class_="edge-crumb"))
    return parts


def _film(colour: str, box: Box) -> Node:
    left, top, right, _ = box
    return rect(left, top, right - left, FILM, fill=shade(colour, 0.18), class_="edge-film")
