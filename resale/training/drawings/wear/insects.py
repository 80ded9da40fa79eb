"""A living pest, and the skin that one has cast."""

from __future__ import annotations

from math import cos, pi, sin
from random import Random

from resale.training.drawings.palette import mix, shade
from resale.training.drawings.svg import (
    Node,
    Point,
    circle,
    group,
    line,
    path,
    polyline,
    smooth,
    turned,
)

Found = tuple[list[Node], Point, float]
"""What lies on the cloth, where, and the reach of the reveal's ring."""


def insect(dice: Random, size: float, plain: float, colour: str) -> Found:
    """A beetle seen from above: six legs, two feelers, a ringed body.

    Parameters
    ----------
    dice : Random
        Chance of this exercise.
    size : float
        1 is as large as it is drawn.
    plain : float
        How far it stands off from the cloth, 0 to 1.
    colour : str
        Hex colour of the cloth.
    """
    at = (dice.uniform(110, 250), dice.uniform(80, 160))
    turn = dice.uniform(0, 360)
    tint = mix(colour, "#4a2a17", 0.45 + plain * 0.7)
    long, wide = 25 * size, 14 * size
    parts: list[Node] = []
    for side in (-1, 1):
        for k, spread in ((-0.5, -26), (-0.1, 4), (0.3, 34)):
            hip = (at[0] + k * long, at[1] + side * wide * 0.8)
            knee = (hip[0] + spread * 0.34 * size, hip[1] + side * 11 * size)
            foot = (knee[0] + spread * 0.4 * size, knee[1] + side * 7 * size)
            leg = [turned(p, turn, at) for p in (hip, knee, foot)]
            parts.append(
                path(
                    polyline(leg),
                    fill="none",
                    stroke=shade(tint, 0.25),
                    stroke_width=1.1 + 1.1 * size,
                    stroke_linecap="round",
                    stroke_linejoin="round",
                    class_="leg",
                )
            )
        feeler = [
            turned((at[0] - long * a, at[1] + side * wide * b), turn, at)
            for a, b in ((0.95, 0.25), (1.35, 0.6), (1.6, 0.55))
        ]
        parts.append(
            path(
                smooth(feeler),
                fill="none",
                stroke=shade(tint, 0.25),
                stroke_width=0.8 + 0.5 * size,
                stroke_linecap="round",
                class_="feeler",
            )
        )
    body = [
        turned(
            (at[0] + long * cos(t) * (1.0 if cos(t) > 0 else 0.86), at[1] + wide * sin(t)), turn, at
        )
        for t in (2 * pi * k / 22 for k in range(22))
    ]
    head = turned((at[0] - long * 0.95, at[1]), turn, at)
    parts += [
        circle(
            head, 6.4 * size, fill=shade(tint, 0.12), stroke=shade(tint, 0.35), stroke_width=0.8
        ),
        path(
            smooth(body, closed=True),
            fill=tint,
            stroke=shade(tint, 0.4),
            stroke_width=1.0,
            class_="body",
        ),
    ]
    for k in (-0.35, 0.0, 0.32, 0.62):
        half = wide * (1 - (k * 0.9) ** 2) ** 0.5 * 0.94
        ends = [turned((at[0] + k * long, at[1] + s * half), turn, at) for s in (-1, 1)]
        bend = turned((at[0] + (k + 0.14) * long, at[1]), turn, at)
        parts.append(
            path(
                smooth([ends[0], bend, ends[1]]),
                fill="none",
                stroke=shade(tint, 0.3),
                stroke_width=0.9,
            )
        )
    return parts, at, 46 * size + 4


def husk(dice: Random, at: Point, size: float, tint: str) -> Node:
    """A cast skin: a ringed, empty crescent, split down its back.

    Parameters
    ----------
    dice : Random
        Chance of this exercise.
    at : Point
        Its middle, in units of the drawing.
    size : float
        1 is as large as it is drawn.
    tint : str
        Hex colour.
    """
    turn, long, wide = dice.uniform(0, 360), 19 * size, 6.6 * size
    spine = [
        (at[0] + long * (t - 0.5) * 2, at[1] - 7 * size * (1 - (2 * t - 1) ** 2))
        for t in (0, 0.25, 0.5, 0.75, 1)
    ]
    half = [wide * w for w in (0.35, 0.85, 1.0, 0.85, 0.35)]
    upper = [(x, y - h) for (x, y), h in zip(spine, half, strict=True)]
    lower = [(x, y + h) for (x, y), h in zip(spine, half, strict=True)]
    outline = [turned(p, turn, at) for p in (*upper, *lower[::-1])]
    rings = [
        line(
            turned((x, y - h * 0.92), turn, at),
            turned((x + 2 * size, y + h * 0.92), turn, at),
            stroke=shade(tint, 0.3),
            stroke_width=0.8,
        )
        for (x, y), h in zip(spine[1:4], half[1:4], strict=True)
    ]
    split = path(
        smooth([turned(p, turn, at) for p in spine]),
        fill="none",
        stroke=shade(tint, 0.55),
        stroke_width=1.1,
    )
    skin = path(
        smooth(outline, closed=True),
        fill=tint,
        fill_opacity=0.72,
        stroke=shade(tint, 0.35),
        stroke_width=0.9,
        class_="husk",
    )
    return group(skin, *rings, split)
