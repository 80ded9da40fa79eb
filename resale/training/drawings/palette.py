"""Colours, line weights and lettering that every drawing shares.

A drawing brings its own sheet of paper, so it looks the same by day and on a dark bench.
"""

from __future__ import annotations

from resale.training.drawings.svg import Node, Point, Value, node, rect, words

WIDTH, HEIGHT = 360.0, 264.0

PAPER = "#f6f1e7"
PAPER_DEEP = "#ebe2d1"
INK = "#2b2622"
SOFT_INK = "#6b6055"
THREAD = "#a8402a"
"""The one thread colour: stitches that are the point, and all that a reveal draws."""

CLOTHS = {
    "slate": "#8b97a3",
    "sage": "#9dab96",
    "clay": "#c9a489",
    "oat": "#d9c9a8",
    "plum": "#9c8593",
    "sea": "#86a3a3",
}
LEATHER = "#b98a5c"
LEATHER_DARK = "#7d5235"
LEATHER_PALE = "#d8b78c"
CORK = "#e0caa0"
RUBBER = "#57524e"
FOAM = "#efe7d6"
GLUE = "#d9a441"
CANVAS = "#dccfae"
LINING = "#b4a7b8"
METAL = "#b9b4a8"
BRASS = "#c7a04f"

FINE, MEDIUM, BOLD = 0.8, 1.4, 2.2
"""Line weights: texture, edges, what matters."""

FACE = "Georgia, 'Times New Roman', serif"
LABEL_SIZE = 12.0


def sheet(height: float = HEIGHT) -> Node:
    """The paper that the drawing lies on."""
    return rect(0, 0, WIDTH, height, rx=6, fill=PAPER, class_="paper")


def label(at: Point, text: str, **attributes: Value) -> Node:
    """Lettering of a drawing, in ink.

    Parameters
    ----------
    at : Point
        Foot of the first letter, or of the middle by `text_anchor`.
    text : str
        One line.
    **attributes : Value
        Of the SVG element; they go before the usual face, size and ink.
    """
    named: dict[str, Value] = {
        "font_family": FACE,
        "font_size": LABEL_SIZE,
        "fill": INK,
        "class_": "label",
    }
    return words(at, text, **(named | attributes))


def shade(colour: str, part: float) -> str:
    """Darken a colour towards ink (part above 0) or lighten it towards paper (below 0).

    Parameters
    ----------
    colour : str
        Hex colour, such as #5d6570.
    part : float
        How far, -1 to 1.

    Returns
    -------
    str
        Hex colour.
    """
    aim = INK if part > 0 else "#fffdf8"
    return mix(colour, aim, abs(part))


def mix(first: str, second: str, part: float) -> str:
    """Blend two colours, ``part`` of the second.

    Parameters
    ----------
    first, second : str
        Hex colours, such as #5d6570.
    part : float
        0 gives the first, 1 the second; each light is blended by itself, as the screen counts it.

    Returns
    -------
    str
        Hex colour.
    """
    pairs = ((int(first[k : k + 2], 16), int(second[k : k + 2], 16)) for k in (1, 3, 5))
    return "#" + "".join(f"{round(a + (b - a) * part):02x}" for a, b in pairs)


def note(at: Point, text: str, **attributes: Value) -> Node:
    """Lettering of a reveal: thread colour on a paper halo, so it reads on any ground.

    Parameters
    ----------
    at : Point
        Foot of the first letter, or of the middle by `text_anchor`.
    text : str
        One line.
    **attributes : Value
        Of the SVG element; they go before the usual ones.
    """
    named: dict[str, Value] = {
        "fill": THREAD,
        "font_weight": "bold",
        "stroke": PAPER,
        "stroke_width": 3.5,
        "paint_order": "stroke",
        "stroke_linejoin": "round",
        "class_": "shown",
    }
    return label(at, text, **(named | attributes))


def shown_line(d: str, width: float = BOLD) -> Node:
    """A line of a reveal, with a paper edge so that it reads on any ground.

    Parameters
    ----------
    d : str
        Data of an SVG path.
    width : float, optional
        Of the line without its paper edge, in units of the drawing.
    """
    return node(
        "g",
        node("path", d=d, stroke=PAPER, stroke_width=width + 2.4, fill="none"),
        node("path", d=d, stroke=THREAD, stroke_width=width, fill="none"),
        class_="shown",
    )


def shown_ring(centre: Point, rx: float, ry: float) -> Node:
    """A ring of a reveal round what matters.

    Parameters
    ----------
    centre : Point
        In units of the drawing.
    rx, ry : float
        Half its width and half its height.
    """
    d = (
        f"M{centre[0] - rx:.2f} {centre[1]:.2f}"
        f"a{rx:.2f} {ry:.2f} 0 1 0 {2 * rx:.2f} 0a{rx:.2f} {ry:.2f} 0 1 0 {-2 * rx:.2f} 0Z"
    )
    return shown_line(d)


def arrow_line(start: Point, end: Point) -> Node:
    """A measure line of a reveal, with a short bar at each end, as a tape has.

    Parameters
    ----------
    start, end : Point
        What is measured runs from one to the other, in units of the drawing.
    """
    (x1, y1), (x2, y2) = start, end
    length = max(((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5, 0.01)
    ax, ay = -(y2 - y1) / length * 5, (x2 - x1) / length * 5
    runs = (
        (start, end),
        ((x1 - ax, y1 - ay), (x1 + ax, y1 + ay)),
        ((x2 - ax, y2 - ay), (x2 + ax, y2 + ay)),
    )
    d = "".join(f"M{ax:.2f} {ay:.2f}L{bx:.2f} {by:.2f}" for (ax, ay), (bx, by) in runs)
    return shown_line(d, MEDIUM)
