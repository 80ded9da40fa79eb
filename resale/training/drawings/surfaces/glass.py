"""A magnifying glass: what lies under it is clipped to its rim."""

from __future__ import annotations

from resale.training.drawings.palette import BRASS, INK, LEATHER_DARK
from resale.training.drawings.svg import Node, Point, circle, line


def handle(centre: Point, radius: float) -> list[Node]:
    """The handle, to the lower right; it goes below the rim.

    Parameters
    ----------
    centre : Point
        Of the lens.
    radius : float
        Of the lens.
    """
    x, y = centre
    near, far = (x + radius * 0.768, y + radius * 0.696), (x + radius * 1.536, y + radius * 1.053)
    return [
        line(near, far, stroke=INK, stroke_width=17, stroke_linecap="round"),
        line(
            (near[0] + 4, near[1] + 2),
            (far[0] - 2, far[1] - 1),
            stroke=LEATHER_DARK,
            stroke_width=12,
            stroke_linecap="round",
        ),
    ]


def rim(centre: Point, radius: float) -> list[Node]:
    """The brass round the lens.

    Parameters
    ----------
    centre : Point
        Of the lens.
    radius : float
        Of the lens.
    """
    return [
        circle(centre, radius, fill="none", stroke=INK, stroke_width=9),
        circle(centre, radius, fill="none", stroke=BRASS, stroke_width=5.4),
    ]
