"""Faces of buttons by material: what the figure of each looks like. Common practice, no source."""

from __future__ import annotations

from collections.abc import Callable
from math import cos, pi, radians, sin
from random import Random

from resale.training.drawings.palette import FINE, INK, shade
from resale.training.drawings.svg import (
    Node,
    Point,
    Ref,
    circle,
    node,
    path,
    polyline,
    ring,
    smooth,
)

Figure = tuple[Node, ...]

BASES: dict[str, tuple[str, ...]] = {
    "pearl": ("#e8e4da", "#dfe0dc", "#eae3dd"),
    "horn": ("#5a4433", "#8f7350", "#3f332b"),
    "corozo": ("#6d4a35", "#47525c", "#7d6b4d"),
    "plastic": ("#3f4a58", "#7a3f38", "#e6ddc9", "#4b5a4a"),
    "metal": ("#b9b4a8", "#c7a04f"),
    "wood": ("#b88b58", "#9c7046", "#c9a271"),
}


def _pearl(dice: Random, centre: Point, radius: float, base: str) -> Figure:
    """Irregular cool clouds, and the edges of the shell's layers."""
    tints = ("#bcd6d2", "#e0c9d6", "#c3cfe4", "#d3e3c8", "#f7f4ee")
    clouds = []
    for _ in range(11):
        at = (
            centre[0] + dice.uniform(-0.8, 0.8) * radius,
            centre[1] + dice.uniform(-0.8, 0.8) * radius,
        )
        rx, ry = dice.uniform(0.2, 0.5) * radius, dice.uniform(0.08, 0.2) * radius
        wobbly = [
            (x + dice.uniform(-0.05, 0.05) * radius, y + dice.uniform(-0.05, 0.05) * radius)
            for x, y in ring(at, rx, ry, points=9)
        ]
        clouds.append(
            path(
                smooth(wobbly, closed=True),
                fill=dice.choice(tints),
                fill_opacity=0.75,
                class_="figure",
            )
        )
    start = dice.uniform(-0.9, -0.5)
    layers = [
        path(
            smooth(
                [
                    (
                        centre[0] + x * radius,
                        centre[1]
                        + (start + k * 0.27 + 0.12 * sin(2.2 * x + k) + dice.uniform(-0.04, 0.04))
                        * radius,
                    )
                    for x in (-1.0, -0.5, 0.0, 0.5, 1.0)
                ]
            ),
            stroke=shade(base, 0.25),
            stroke_width=FINE,
            stroke_opacity=0.55,
            fill="none",
            class_="figure",
        )
        for k in range(6)
    ]
    return (*clouds, *layers)


def _horn(dice: Random, centre: Point, radius: float, base: str) -> Figure:
    """Long streaks that run one way and fade into each other."""
    lean = radians(dice.uniform(-50, 50))
    streaks = []
    for _ in range(34):
        across = dice.uniform(-1, 1) * radius
        tone = shade(base, dice.choice((-0.5, -0.35, -0.2, 0.3, 0.5)))
        points = []
        for along in (-1.05, -0.4, 0.3, 1.05):
            side = across + dice.uniform(-0.05, 0.05) * radius
            points.append(
                (
                    centre[0] + along * radius * cos(lean) - side * sin(lean),
                    centre[1] + along * radius * sin(lean) + side * cos(lean),
                )
            )
        width = dice.uniform(0.03, 0.1) * radius
        streaks.append(
            path(
                smooth(points),
                stroke=tone,
                stroke_width=width,
                stroke_opacity=0.55,
                fill="none",
                class_="figure",
            )
        )
    return tuple(streaks)


def _corozo(dice: Random, centre: Point, radius: float, base: str) -> Figure:
    """Fine short dashes in bent rows, as of a seed cut across."""
    far = dice.uniform(0, 2 * pi)
    heart = (centre[0] + 1.5 * radius * cos(far), centre[1] + 1.5 * radius * sin(far))
    tones = (shade(base, 0.4), shade(base, -0.4))
    runs: dict[str, list[str]] = {tone: [] for tone in tones}
    for row in range(24):
        away = (0.52 + row * 0.085) * radius
        for _ in range(15):
            turn = far + pi + dice.uniform(-0.95, 0.95)
            span = dice.uniform(0.02, 0.05)
            ends = [
                (heart[0] + away * cos(turn + k), heart[1] + away * sin(turn + k))
                for k in (-span, span)
            ]
            runs[dice.choice(tones)].append(polyline(ends))
    return tuple(
        path(
            "".join(run),
            stroke=tone,
            stroke_width=0.016 * radius,
            stroke_opacity=0.8,
            fill="none",
            class_="figure",
        )
        for tone, run in runs.items()
    )


def _wood(dice: Random, centre: Point, radius: float, base: str) -> Figure:
    """Growth rings about a heart outside the button, unevenly spaced."""
    lean = dice.uniform(0, 2 * pi)
    heart = (centre[0] + 1.25 * radius * cos(lean), centre[1] + 1.25 * radius * sin(lean))
    rings, away = [], 0.2 * radius
    while away < 2.4 * radius:
        away += dice.uniform(0.05, 0.14) * radius
        late = dice.random() < 0.5
        rings.append(
            circle(
                heart,
                away,
                fill="none",
                stroke=shade(base, 0.45 if late else 0.22),
                stroke_width=(0.035 if late else 0.015) * radius,
                stroke_opacity=0.7,
                class_="figure",
            )
        )
    return tuple(rings)


def _plastic(dice: Random, centre: Point, radius: float, base: str) -> Figure:
    """No figure at all: even colour and a gloss."""
    del dice
    gloss = smooth(
        [
            (centre[0] - 0.72 * radius, centre[1] - 0.1 * radius),
            (centre[0] - 0.45 * radius, centre[1] - 0.58 * radius),
            (centre[0] + 0.1 * radius, centre[1] - 0.74 * radius),
        ]
    )
    return (
        path(
            gloss,
            stroke=shade(base, -0.75),
            stroke_width=0.06 * radius,
            fill="none",
            stroke_linecap="round",
            stroke_opacity=0.8,
            class_="gloss",
        ),
    )


def _metal(dice: Random, centre: Point, radius: float, base: str) -> Figure:
    """A bright sheen, and beads pressed round the rim."""
    count = dice.choice((28, 32, 36))
    beads = [
        circle(
            at, 0.035 * radius, fill=shade(base, -0.55), stroke=shade(base, 0.5), stroke_width=FINE
        )
        for at in ring(centre, 0.9 * radius, 0.9 * radius, points=count)
    ]
    sheen = [
        path(
            polyline(
                [
                    centre,
                    *(
                        (centre[0] + radius * cos(turn + k), centre[1] + radius * sin(turn + k))
                        for k in (-0.16, 0.0, 0.16)
                    ),
                ],
                closed=True,
            ),
            fill=shade(base, -0.7),
            fill_opacity=0.5,
        )
        for turn in (-2.3, 0.84)
    ]
    petals = dice.choice((6, 8))
    star = [
        (
            centre[0] + (0.52 if k % 2 else 0.24) * radius * cos(pi * k / petals),
            centre[1] + (0.52 if k % 2 else 0.24) * radius * sin(pi * k / petals),
        )
        for k in range(2 * petals)
    ]
    return (
        *sheen,
        *beads,
        path(polyline(star, closed=True), fill="none", stroke=shade(base, 0.5), stroke_width=1.4),
    )


FIGURES: dict[str, Callable[[Random, Point, float, str], Figure]] = {
    "pearl": _pearl,
    "horn": _horn,
    "corozo": _corozo,
    "plastic": _plastic,
    "metal": _metal,
    "wood": _wood,
}


def face(
    name: str, figure: Figure, centre: Point, radius: float, base: str, *, holes: int, nib: bool
) -> tuple[list[Node], list[Node]]:
    """A whole button: definitions, then what is drawn.

    Parameters
    ----------
    name : str
        For the ids of its window.
    holes : int
        2 or 4 for thread; 0 for a button with a loop behind.
    nib : bool
        Draw the parting line and the nib that a mould leaves.
    """
    window = node("clipPath", circle(centre, radius), id=Ref("face-" + name))
    parts: list[Node] = [
        circle((centre[0] + 2.5, centre[1] + 4), radius, fill=INK, fill_opacity=0.16),
    ]
    if nib:
        parts.append(
            path(
                f"M{centre[0] + radius - 1:.2f} {centre[1] - 4:.2f}h4.5v8h-4.5Z",
                fill=base,
                stroke=INK,
                stroke_width=1.2,
                class_="mould-nib",
            )
        )
    parts += [
        circle(centre, radius, fill=base),
        node("g", *figure, clip_path=Ref("face-" + name, as_url=True), class_=f"face {name}"),
        circle(
            centre, radius * 0.8, fill="none", stroke=INK, stroke_width=1.1, stroke_opacity=0.35
        ),
        circle(
            centre,
            radius * 0.77,
            fill="none",
            stroke="#fffdf8",
            stroke_width=1.1,
            stroke_opacity=0.5,
        ),
        circle(centre, radius, fill="none", stroke=INK, stroke_width=1.6),
    ]
    for k in range(holes):
        turn = pi / 4 + 2 * pi * k / holes
        at = (centre[0] + 0.2 * radius * cos(turn), centre[1] + 0.2 * radius * sin(turn))
        parts.append(circle(at, 0.075 * radius, fill=INK, stroke=shade(base, -0.4), stroke_width=1))
    return [window], parts
