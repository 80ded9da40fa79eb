"""Materials of a section: a tile for each, told apart by a figure and not by colour alone."""

from __future__ import annotations

from resale.training.drawings.palette import (
    CANVAS,
    CORK,
    FOAM,
    GLUE,
    LEATHER,
    LEATHER_DARK,
    LEATHER_PALE,
    LINING,
    RUBBER,
    shade,
)
from resale.training.drawings.svg import (
    Node,
    Ref,
    circle,
    node,
    path,
    rect,
)

COLOURS = {
    "leather": LEATHER,
    "upper": LEATHER_DARK,
    "pale": LEATHER_PALE,
    "cork": CORK,
    "rubber": RUBBER,
    "foam": FOAM,
    "glue": GLUE,
    "canvas": CANVAS,
    "lining": LINING,
    "cloth": "#8b97a3",
}


def tile(name: str, *, strength: float = 1.0, tint: str = "") -> Node:
    """A tile of material; each has a figure of its own, so that it reads without colour.

    Parameters
    ----------
    name : str
        Of a material in `COLOURS`.
    strength : float, optional
        How plain its figure is, 0 to 1; faint ones make the hardest level.
    tint : str, optional
        Hex colour in place of the material's usual one.
    """
    colour = tint or COLOURS[name]
    dark, pale = shade(colour, 0.22 * strength), shade(colour, -0.3 * strength)
    marks: dict[str, list[Node]] = {
        "leather": [
            path(
                "M0 3.5C2 2.5 4 4.5 7 3.5M0 7C3 6 5 8 7 7",
                stroke=dark,
                fill="none",
                stroke_width=0.7,
            )
        ],
        "upper": [circle((2, 2), 0.6, fill=pale), circle((5.5, 5), 0.6, fill=pale)],
        "pale": [path("M0 4C2 3 5 5 7 4", stroke=dark, stroke_width=0.7, fill="none")],
        "cork": [
            circle((2, 2), 1.2, fill=dark),
            circle((5.4, 4.6), 0.9, fill=dark),
            circle((1.6, 5.9), 0.6, fill=dark),
        ],
        "rubber": [path("M1 1L2.4 2.4M4.5 4.5L5.9 5.9", stroke=pale, stroke_width=0.7)],
        "foam": [
            circle((2, 2), 1.1, fill="none", stroke=dark, stroke_width=0.6),
            circle((5.2, 5.2), 0.8, fill="none", stroke=dark, stroke_width=0.6),
        ],
        "glue": [path("M0 3.5Q1.75 1 3.5 3.5T7 3.5", stroke=dark, stroke_width=0.9, fill="none")],
        "canvas": [path("M0 0L7 7M7 0L0 7", stroke=dark, stroke_width=0.7)],
        "cloth": [path("M-1 1L1 -1M0 7L7 0M6 8L8 6", stroke=dark, stroke_width=0.9)],
        "lining": [path("M0 2H7M0 5.5H7", stroke=pale, stroke_width=0.7)],
    }
    return node(
        "pattern",
        rect(0, 0, 7, 7, fill=colour),
        *marks[name],
        id=Ref("tile-" + name),
        width=7,
        height=7,
        patternUnits="userSpaceOnUse",
    )
