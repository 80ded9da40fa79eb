"""Close views of three places of a shirt, each with and without its mark of care."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from random import Random

from resale.training.drawings.cloth import clip, clipped
from resale.training.drawings.palette import FINE, INK, MEDIUM, PAPER_DEEP, mix, shade
from resale.training.drawings.svg import (
    Node,
    Point,
    Value,
    circle,
    group,
    path,
    polyline,
    rect,
    smooth,
)

Box = tuple[float, float, float, float]
SHIRTS = ("#e9edf0", "#efe9dc", "#dfe6e4", "#ece2e2")
STRIPES = ("#7f94a8", "#a5837a", "#84977f", "#8d84a0")

# Where the mark is, as parts of the box: centre and two radii.
RINGS: dict[str, tuple[float, float, float, float]] = {
    "gusset": (0.5, 0.45, 0.19, 0.2),
    "yoke": (0.5, 0.34, 0.12, 0.3),
    "gauntlet": (0.53, 0.36, 0.13, 0.13),
}


@dataclass(frozen=True, slots=True)
class Shirt:
    """The cloth of one shirt; faint details are of its own colour."""

    colour: str
    stripe: str
    faint: bool = False

    @classmethod
    def picked(cls, dice: Random, *, faint: bool) -> Shirt:
        """Pick a cloth.

        Parameters
        ----------
        dice : Random
            Chance of this exercise.
        faint : bool
            Whether its stripes are hard to see.
        """
        colour, stripe = dice.choice(SHIRTS), dice.choice(STRIPES)
        return cls(colour, mix(stripe, colour, 0.4) if faint else stripe, faint)

    def detail(self, part: float) -> str:
        """Colour of a detail, nearer to the cloth's own where it is faint."""
        return shade(self.colour, part * (0.25 if self.faint else 1.0))


class _Place:
    """Turns parts of a box into points of the paper."""

    def __init__(self, box: Box) -> None:
        self.x, self.y, self.width, self.height = box

    def at(self, across: float, down: float) -> Point:
        return (self.x + across * self.width, self.y + down * self.height)

    def run(self, *points: Point, closed: bool = False, curved: bool = False) -> str:
        placed = [self.at(*point) for point in points]
        return smooth(placed, closed=closed) if curved else polyline(placed, closed=closed)


def frame(box: Box) -> Node:
    """The edge of a close view."""
    x, y, width, height = box
    return rect(x, y, width, height, rx=4, fill="none", stroke=INK, stroke_width=MEDIUM)


def _scene(box: Box, name: str, parts: list[Node]) -> tuple[list[Node], list[Node]]:
    x, y, width, height = box
    window = clip(name, rect(x, y, width, height, rx=4))
    ground = rect(x, y, width, height, fill=PAPER_DEEP)
    return [group(ground, *parts, clip_path=clipped(name)), frame(box)], [window]


def _edge(colour: str) -> dict[str, Value]:
    return {"fill": colour, "stroke": INK, "stroke_width": MEDIUM, "stroke_linejoin": "round"}


def _sewn(d: str, colour: str) -> Node:
    return path(
        d,
        fill="none",
        stroke=shade(colour, 0.5),
        stroke_width=1.1,
        stroke_dasharray="4 2.6",
        class_="sewn",
    )


def _gusset(shirt: Shirt, present: bool, box: Box, name: str) -> tuple[list[Node], list[Node]]:
    """Front and back panel meet in a side seam above a curved hem."""
    place, colour = _Place(box), shirt.colour
    curve = [
        (0.5, 0.46),
        (0.45, 0.58),
        (0.38, 0.68),
        (0.29, 0.76),
        (0.18, 0.83),
        (0.05, 0.87),
        (-0.1, 0.89),
    ]
    other = [(1 - x, y) for x, y in curve]
    back = place.run((-0.1, -0.1), (0.5, -0.1), *curve, closed=True)
    front = place.run((1.1, -0.1), (0.5, -0.1), *other, closed=True)
    hem = place.run(*((x - 0.025, y - 0.045) for x, y in curve))
    hem_too = place.run(*((x + 0.025, y - 0.045) for x, y in other))
    parts = [
        path(back, **_edge(shade(colour, 0.06))),
        path(front, **_edge(colour)),
        path(place.run((0.5, -0.1), (0.5, 0.46)), stroke=INK, stroke_width=MEDIUM),
        _sewn(place.run((0.535, -0.1), (0.535, 0.4)), colour),
        _sewn(hem, colour),
        _sewn(hem_too, colour),
    ]
    if present:
        patch = place.run((0.38, 0.6), (0.5, 0.3), (0.62, 0.6), closed=True)
        inner = place.run((0.415, 0.578), (0.5, 0.36), (0.585, 0.578), closed=True)
        parts += [
            path(patch, **_edge(shirt.detail(0.24)), class_="gusset"),
            _sewn(inner, colour),
        ]
    return _scene(box, name, parts)


def _yoke(shirt: Shirt, present: bool, box: Box, name: str) -> tuple[list[Node], list[Node]]:
    """Back of a striped shirt: collar, yoke, and the panel below it."""
    place, colour, stripe = _Place(box), shirt.colour, shirt.stripe
    yoke = [
        (-0.1, 0.3),
        (0.3, 0.13),
        (0.5, 0.17),
        (0.7, 0.13),
        (1.1, 0.3),
        (1.1, 0.58),
        (-0.1, 0.58),
    ]
    window = clip(name + "-yoke", path(place.run(*yoke, closed=True)))
    drop = 0.16 if present else 0.0
    lines: list[Node] = []
    for k in range(-2, 9):
        y = 0.1 + k * 0.075
        run = place.run((-0.1, y - drop * 1.2), (0.5, y), (1.1, y - drop * 1.2))
        lines.append(
            path(
                run,
                stroke=stripe,
                stroke_width=place.height * 0.014,
                fill="none",
                class_="yoke-stripe",
            )
        )
    below = [
        path(place.run((x, 0.58), (x, 1.1)), stroke=stripe, stroke_width=place.height * 0.014)
        for x in (0.03 + 0.094 * k for k in range(11))
    ]
    collar = place.run(
        (0.28, 0.15),
        (0.36, 0.04),
        (0.5, 0.02),
        (0.64, 0.04),
        (0.72, 0.15),
        (0.5, 0.2),
        closed=True,
        curved=True,
    )
    parts = [
        path(
            place.run((-0.1, 0.58), (1.1, 0.58), (1.1, 1.1), (-0.1, 1.1), closed=True),
            **_edge(colour),
        ),
        *below,
        path(place.run(*yoke, closed=True), **_edge(shade(colour, 0.05))),
        group(*lines, clip_path=clipped(name + "-yoke")),
        path(place.run((-0.1, 0.58), (1.1, 0.58)), stroke=INK, stroke_width=MEDIUM),
        _sewn(place.run((-0.1, 0.555), (1.1, 0.555)), colour),
    ]
    if present:
        parts.append(
            path(
                place.run((0.5, 0.17), (0.5, 0.58)),
                stroke=INK,
                stroke_width=1.8,
                class_="yoke-seam",
            )
        )
    parts.append(path(collar, **_edge(shade(colour, -0.3))))
    drawn, tiles = _scene(box, name, parts)
    return drawn, [*tiles, window]


def _gauntlet(shirt: Shirt, present: bool, box: Box, name: str) -> tuple[list[Node], list[Node]]:
    """Lower sleeve with the slit, its strip, and the cuff."""
    place, colour = _Place(box), shirt.colour
    sleeve = place.run((0.04, -0.1), (0.96, -0.1), (0.84, 0.64), (0.16, 0.64), closed=True)
    # The cuff is shut: its one end lies upon the other, in line with the strip above.
    under = place.run((0.56, 0.645), (0.87, 0.645), (0.87, 0.93), (0.56, 0.93), closed=True)
    over = place.run((0.13, 0.64), (0.6, 0.64), (0.6, 0.935), (0.13, 0.935), closed=True)
    strip = place.run(
        (0.46, 0.14), (0.53, 0.08), (0.6, 0.14), (0.6, 0.64), (0.46, 0.64), closed=True
    )
    radius = min(place.width, place.height) * 0.045
    parts = [
        path(sleeve, **_edge(colour)),
        path(place.run((0.3, 0.64), (0.31, 0.56)), stroke=INK, stroke_width=FINE),
        path(place.run((0.72, 0.64), (0.71, 0.54)), stroke=INK, stroke_width=FINE),
        path(strip, **_edge(shade(colour, 0.08)), class_="strip"),
        _sewn(
            place.run((0.485, 0.62), (0.485, 0.16), (0.53, 0.115), (0.575, 0.16), (0.575, 0.62)),
            colour,
        ),
        path(under, **_edge(shade(colour, -0.12)), class_="cuff under"),
        _sewn(place.run((0.6, 0.68), (0.84, 0.68), (0.84, 0.895), (0.6, 0.895)), colour),
        path(over, **_edge(shade(colour, -0.25)), class_="cuff over"),
        _sewn(place.run((0.16, 0.68), (0.58, 0.68), (0.58, 0.9), (0.16, 0.9), closed=True), colour),
        *_small_button(place.at(0.51, 0.79), radius * 1.25, "cuff-button", shirt),
    ]
    if present:
        parts += _small_button(place.at(0.53, 0.36), radius, "gauntlet-button", shirt)
    return _scene(box, name, parts)


def _small_button(centre: Point, radius: float, name: str, shirt: Shirt) -> list[Node]:
    holes = [
        circle(
            (centre[0] + x * radius * 0.3, centre[1] + y * radius * 0.3), radius * 0.13, fill=INK
        )
        for x in (-1, 1)
        for y in (-1, 1)
    ]
    return [
        circle(
            centre,
            radius,
            fill=shirt.detail(-0.9),
            stroke=INK,
            stroke_width=0.8 if shirt.faint else 1.3,
            class_=name,
        ),
        circle(centre, radius * 0.72, fill="none", stroke=INK, stroke_width=0.5),
        *holes,
    ]


DRAWERS: dict[str, Callable[[Shirt, bool, Box, str], tuple[list[Node], list[Node]]]] = {
    "gusset": _gusset,
    "yoke": _yoke,
    "gauntlet": _gauntlet,
}
