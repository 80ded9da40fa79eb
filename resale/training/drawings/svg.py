"""Write a drawing: nodes, outlines and the page around them. Geometry in, text out.

Presentation attributes only, so a strict content policy lets the drawing through. Curves are
written as absolute M, L, C and Z, so that a drawing can be measured from its own text.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from math import cos, pi, radians, sin

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Ref:
    """A name that becomes an id of this one drawing when it is written."""

    name: str
    as_url: bool = False

    def written(self, key: str) -> str:
        """Return the id, or the reference to it, under a drawing's key."""
        full = f"{key}-{self.name}"
        return f"url(#{full})" if self.as_url else full


Value = str | float | Ref


@dataclass(frozen=True, slots=True)
class Node:
    """An element: tag, attributes in order, and what it holds."""

    tag: str
    attributes: tuple[tuple[str, Value], ...] = ()
    inside: tuple[Node | str, ...] = ()

    def written(self, key: str) -> str:
        """Return the element as text, ids under the drawing's key."""
        pairs = "".join(f' {name}="{_value(value, key)}"' for name, value in self.attributes)
        if not self.inside:
            return f"<{self.tag}{pairs}/>"
        held = "".join(
            escape(part, quote=False) if isinstance(part, str) else part.written(key)
            for part in self.inside
        )
        return f"<{self.tag}{pairs}>{held}</{self.tag}>"


def number(value: float) -> str:
    """Write a coordinate: two decimals at most, no trailing noughts, never '-0'."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def _value(value: Value, key: str) -> str:
    if isinstance(value, Ref):
        return escape(value.written(key))
    return escape(value) if isinstance(value, str) else number(value)


def node(tag: str, *inside: Node | str, **attributes: Value) -> Node:
    """Make an element; ``class_`` and ``stroke_width`` become ``class`` and ``stroke-width``."""
    named = tuple(
        (name.rstrip("_").replace("_", "-") if name != "viewBox" else name, value)
        for name, value in attributes.items()
    )
    return Node(tag, named, inside)


def group(*inside: Node, **attributes: Value) -> Node:
    """Gather elements."""
    return node("g", *inside, **attributes)


def line(start: Point, end: Point, **attributes: Value) -> Node:
    """A straight line.

    Parameters
    ----------
    start, end : Point
        In units of the drawing, y downwards.
    **attributes : Value
        Of the element; an underscore stands for a hyphen, and at the end it is dropped.
    """
    return node("line", x1=start[0], y1=start[1], x2=end[0], y2=end[1], **attributes)


def rect(x: float, y: float, width: float, height: float, **attributes: Value) -> Node:
    """A rectangle by its upper left corner.

    Parameters
    ----------
    x, y : float
        Upper left corner, in units of the drawing.
    width, height : float
        In units of the drawing.
    **attributes : Value
        Of the element, as for `line`.
    """
    return node("rect", x=x, y=y, width=width, height=height, **attributes)


def circle(centre: Point, radius: float, **attributes: Value) -> Node:
    """A circle.

    Parameters
    ----------
    centre : Point
        In units of the drawing.
    radius : float
        In units of the drawing.
    **attributes : Value
        Of the element, as for `line`.
    """
    return node("circle", cx=centre[0], cy=centre[1], r=radius, **attributes)


def ellipse(centre: Point, rx: float, ry: float, **attributes: Value) -> Node:
    """An ellipse, upright.

    Parameters
    ----------
    centre : Point
        In units of the drawing.
    rx, ry : float
        Half its width and half its height.
    **attributes : Value
        Of the element, as for `line`.
    """
    return node("ellipse", cx=centre[0], cy=centre[1], rx=rx, ry=ry, **attributes)


def path(d: str, **attributes: Value) -> Node:
    """A path from its written outline."""
    return node("path", d=d, **attributes)


def words(at: Point, text: str, **attributes: Value) -> Node:
    """A line of lettering.

    Parameters
    ----------
    at : Point
        Foot of the first letter, unless `text_anchor` says otherwise.
    text : str
        One line; it is escaped.
    **attributes : Value
        Of the element, as for `line`.
    """
    return node("text", text, x=at[0], y=at[1], **attributes)


def _pair(point: Point) -> str:
    return f"{number(point[0])} {number(point[1])}"


def polyline(points: Iterable[Point], *, closed: bool = False) -> str:
    """Write straight runs through points.

    Parameters
    ----------
    points : iterable of Point
        At least one.
    closed : bool, optional
        Whether the last is joined to the first.

    Returns
    -------
    str
        Data of an SVG path.
    """
    return "M" + "L".join(_pair(point) for point in points) + ("Z" if closed else "")


def smooth(points: Sequence[Point], *, closed: bool = False, tension: float = 1.0) -> str:
    """Write a curve through every point (Catmull-Rom, as cubic runs).

    Parameters
    ----------
    points : sequence of Point
        Points that it goes through.
    closed : bool, optional
        Whether it comes back to the first.
    tension : float, optional
        1 for a Catmull-Rom curve, 0 for straight runs.

    Returns
    -------
    str
        Data of an SVG path.
    """
    count = len(points)
    written = ["M" + _pair(points[0])]
    for place in range(count if closed else count - 1):
        before = points[place - 1] if closed or place > 0 else points[place]
        here, there = points[place], points[(place + 1) % count]
        last = place + 2
        after = points[last % count] if closed or last < count else there
        pull = tension / 6
        first = (here[0] + (there[0] - before[0]) * pull, here[1] + (there[1] - before[1]) * pull)
        second = (there[0] - (after[0] - here[0]) * pull, there[1] - (after[1] - here[1]) * pull)
        written.append(f"C{_pair(first)} {_pair(second)} {_pair(there)}")
    return "".join(written) + ("Z" if closed else "")


def ring(centre: Point, rx: float, ry: float, *, points: int = 24) -> list[Point]:
    """Points round an ellipse, for an outline that is then disturbed.

    Parameters
    ----------
    centre : Point
        In units of the drawing.
    rx, ry : float
        Half its width and half its height.
    points : int, optional
        How many, evenly spread over the angle.
    """
    return [
        (centre[0] + rx * cos(2 * pi * k / points), centre[1] + ry * sin(2 * pi * k / points))
        for k in range(points)
    ]


def turned(point: Point, degrees: float, about: Point) -> Point:
    """Turn a point clockwise on the page about another.

    Parameters
    ----------
    point : Point
        What is turned.
    degrees : float
        Clockwise as it is seen, y being downwards.
    about : Point
        What it is turned about.
    """
    angle = radians(degrees)
    x, y = point[0] - about[0], point[1] - about[1]
    return (
        about[0] + x * cos(angle) - y * sin(angle),
        about[1] + x * sin(angle) + y * cos(angle),
    )


def document(
    key: str,
    *,
    title: str,
    description: str,
    size: tuple[float, float],
    body: Sequence[Node],
    definitions: Sequence[Node] = (),
) -> str:
    """Write a whole drawing, to be set inside a page or kept as a file.

    Parameters
    ----------
    key : str
        Prefix of every id, so that two drawings on one page never share one.
    title, description : str
        What is drawn, for those who cannot see it; never the answer.
    size : pair of float
        Width and height in drawing units.
    """
    width, height = size
    page = node(
        "svg",
        node("title", title, id=Ref("title")),
        node("desc", description, id=Ref("desc")),
        *((node("defs", *definitions),) if definitions else ()),
        *body,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {number(width)} {number(height)}",
        role="img",
        aria_labelledby=f"{key}-title {key}-desc",
        class_="drawing",
    )
    return page.written(key)
