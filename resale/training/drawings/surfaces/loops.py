"""Plain knitting seen close: columns of Vs, each loop out of the one below it."""

from __future__ import annotations

from resale.training.drawings.palette import shade
from resale.training.drawings.svg import Node, Point, path, smooth

LEG = ((0.08, 1.02), (0.25, 0.55), (0.4, 0.02), (0.3, -0.3))
"""One leg of a loop, as parts of its width and height from the middle of its column."""


def loops(
    corner: Point, count: tuple[int, int], size: tuple[float, float], colour: str
) -> list[Node]:
    """Draw a field of plain knitting.

    Parameters
    ----------
    corner : Point
        Upper left.
    count : pair of int
        Columns and rows.
    size : pair of float
        Width and height of one loop.
    colour : str
        Hex colour of the yarn.
    """
    (left, top), (columns, rows), (wide, high) = corner, count, size
    thick = wide / 1.5
    pens = (
        (0.62, shade(colour, 0.45), "under"),
        (0.5, colour, "loop-leg"),
        (0.09, shade(colour, -0.3), "light"),
    )
    middles = [left + (column + 0.5) * wide for column in range(columns)]
    found: list[Node] = []
    for y in (top + row * high for row in range(rows)):
        # Loops of one row lie beside each other, so that a row is one path.
        legs = "".join(
            smooth([(x + side * wide * a, y + high * b) for a, b in LEG])
            for x in middles
            for side in (-1, 1)
        )
        found += [
            path(
                legs,
                fill="none",
                stroke=tint,
                stroke_width=thick * width,
                stroke_linecap="round",
                class_=name,
            )
            for width, tint, name in pens
        ]
    return found
