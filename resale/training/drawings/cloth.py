"""Cloth, thread and rulers: the things that several drawings lay on the bench."""

from __future__ import annotations

from random import Random

from resale.training.drawings.palette import (
    FACE,
    FINE,
    INK,
    MEDIUM,
    SOFT_INK,
    shade,
)
from resale.training.drawings.svg import (
    Node,
    Point,
    Ref,
    Value,
    group,
    line,
    node,
    path,
    polyline,
    rect,
    words,
)


def weave(name: str, colour: str, *, twill: bool = False, strength: float = 0.08) -> Node:
    """A tile of woven cloth, to fill a shape with.

    Parameters
    ----------
    name : str
        By which `filled` refers to it; once in a drawing.
    colour : str
        Hex colour of the cloth, such as #5d6570.
    twill : bool, optional
        Lines aslant in place of a plain weave.
    strength : float, optional
        How far the threads stand off from the colour, 0 to 1.
    """
    dark, pale = shade(colour, strength), shade(colour, -strength * 1.2)
    threads: tuple[Node, ...]
    if twill:
        threads = (path("M-1 1L1 -1M0 6L6 0M5 7L7 5", stroke=dark, stroke_width=1.1, fill="none"),)
    else:
        threads = (
            path("M0 1H2M3 4H5", stroke=dark, stroke_width=FINE, fill="none"),
            path("M4 0V2M1 3V5", stroke=pale, stroke_width=FINE, fill="none"),
        )
    return node(
        "pattern",
        rect(0, 0, 6, 6, fill=colour),
        *threads,
        id=Ref("cloth-" + name),
        width=6,
        height=6,
        patternUnits="userSpaceOnUse",
    )


def filled(name: str) -> Ref:
    """Reference to a tile made by `weave`."""
    return Ref("cloth-" + name, as_url=True)


def clip(name: str, *shapes: Node) -> Node:
    """A window that other elements are seen through."""
    return node("clipPath", *shapes, id=Ref("clip-" + name))


def clipped(name: str) -> Ref:
    """Reference to a window made by `clip`."""
    return Ref("clip-" + name, as_url=True)


def stitch(start: Point, end: Point, colour: str, width: float = 2.6, **attributes: Value) -> Node:
    """One stitch as a bar of thread between two holes.

    Parameters
    ----------
    start, end : Point
        Holes that it runs between, in units of the drawing.
    colour : str
        Hex colour of the thread.
    width : float, optional
        Thickness of the thread, in units of the drawing.
    **attributes : Value
        Further attributes of the SVG element.
    """
    return line(start, end, stroke=colour, stroke_width=width, stroke_linecap="round", **attributes)


def needle_hole(at: Point, colour: str = INK, radius: float = 1.1) -> Node:
    """Where the needle went in.

    Parameters
    ----------
    at : Point
        Its middle, in units of the drawing.
    colour : str, optional
        Hex colour.
    radius : float, optional
        In units of the drawing.
    """
    return node("circle", cx=at[0], cy=at[1], r=radius, fill=colour, class_="hole")


def ruler(
    start: Point,
    length: float,
    per_step: float,
    *,
    steps_to_long: int,
    steps_to_middle: int,
    numbers: int,
    height: float = 34.0,
    first: int = 0,
    unit: str = "",
    down: bool = False,
) -> Node:
    """A ruler lying level, its nought ``first`` steps before its start.

    Parameters
    ----------
    start : pair of float
        Upper left corner of its body.
    length, per_step : float
        Its length and the distance of two ticks, drawing units.
    steps_to_long, steps_to_middle : int
        Every how many ticks one is long or middling.
    numbers : int
        A long tick is lettered with its step divided by this.
    down : bool
        Ticks hang from the upper edge if false, stand on the lower edge if true.
    """
    x, y = start
    pad = 9.0
    parts: list[Node] = [
        rect(
            x - pad,
            y,
            length + 2 * pad,
            height,
            rx=2,
            fill="#e9d9b4",
            stroke=INK,
            stroke_width=MEDIUM,
            class_="ruler",
        )
    ]
    edge, way = (y + height, -1) if down else (y, 1)
    for step in range(int(length / per_step + 1e-6) + 1):
        at, mark = x + step * per_step, step + first
        tall = 13 if mark % steps_to_long == 0 else 9 if mark % steps_to_middle == 0 else 5.5
        parts.append(
            line((at, edge), (at, edge + way * tall), stroke=INK, stroke_width=FINE, class_="tick")
        )
        if mark % steps_to_long == 0:
            parts.append(
                words(
                    (at, edge + way * 18 + (8 if way > 0 else 0)),
                    str(mark // numbers),
                    font_family=FACE,
                    font_size=11,
                    fill=INK,
                    text_anchor="middle",
                    class_="tick-label",
                )
            )
    if unit:
        parts.append(
            words(
                (x + length - 2, y + height - 4 if not down else y + 11),
                unit,
                font_family=FACE,
                font_size=10,
                fill=SOFT_INK,
                text_anchor="end",
                font_style="italic",
                class_="ruler-unit",
            )
        )
    return group(*parts)


def torn_edge(dice: Random, start: Point, end: Point, *, jag: float = 2.2, steps: int = 18) -> str:
    """Points along a frayed edge, written as a path run.

    Parameters
    ----------
    dice : Random
        Chance of this exercise.
    start, end : Point
        Where it begins and ends; these two points are not disturbed.
    jag : float, optional
        Most that a point is off the straight line, along either axis, in units of the drawing.
    steps : int, optional
        Straight runs.

    Returns
    -------
    str
        Data of an SVG path.
    """
    (x1, y1), (x2, y2) = start, end
    points = [
        (
            x1 + (x2 - x1) * k / steps + dice.uniform(-jag, jag) * (0 < k < steps),
            y1 + (y2 - y1) * k / steps + dice.uniform(-jag, jag) * (0 < k < steps),
        )
        for k in range(steps + 1)
    ]
    return polyline(points)
