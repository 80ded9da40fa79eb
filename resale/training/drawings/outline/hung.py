"""Clothes on a hanger, from the front: a jacket by its measures, trousers and a waistcoat."""

from __future__ import annotations

from dataclasses import dataclass

from resale.training.drawings.palette import FINE, INK, MEDIUM, SOFT_INK
from resale.training.drawings.svg import Node, Point, Value, circle, line, path, polyline, rect

HANGER = 60.0
"""Width of a hanger at its own scale: the same under every jacket, so it is there to go by."""

CLOSED_AT = 80.0
"""Where the front closes, below the neck."""


@dataclass(frozen=True, slots=True)
class Measures:
    """Of a jacket, in units of the drawing at scale 1.

    Attributes
    ----------
    shoulder : float
        Half the width from seam to seam.
    lapel : float
        From the roll to the point.
    length : float
        From the neck to the hem.
    """

    shoulder: float = 46.0
    lapel: float = 17.0
    length: float = 128.0


def _by(at: Point, scale: float, points: list[Point]) -> list[Point]:
    return [(at[0] + scale * x, at[1] + scale * y) for x, y in points]


def _both(points: list[Point]) -> tuple[list[Point], list[Point]]:
    return points, [(-x, y) for x, y in points]


def hanger(at: Point, scale: float, named: str = "") -> list[Node]:
    """The hook and the bar, behind what hangs there.

    Parameters
    ----------
    at : Point
        Middle of the neck.
    scale : float
    named : str, optional
        Further class of the bar.
    """
    x, y = at
    half = HANGER / 2 * scale
    hook = f"M{x:.2f} {y - 4 * scale:.2f}V{y - 14 * scale:.2f}"
    return [
        path(hook, fill="none", stroke=SOFT_INK, stroke_width=2),
        circle((x, y - 17 * scale), 3.4 * scale, fill="none", stroke=SOFT_INK, stroke_width=2),
        line(
            (x - half, y - 3 * scale),
            (x + half, y - 3 * scale),
            stroke=SOFT_INK,
            stroke_width=3,
            class_=f"hanger {named}".strip(),
        ),
    ]


def jacket(
    at: Point,
    measures: Measures,
    fill: Value,
    dark: str,
    *,
    scale: float = 1.0,
    button: str = INK,
    patch: bool = False,
    named: str = "",
) -> list[Node]:
    """A jacket on its hanger.

    Parameters
    ----------
    at : Point
        Middle of the neck.
    measures : Measures
    fill : str or Ref
        Colour or tile of its cloth.
    dark : str
        Colour of the collar and of what lies in the shade.
    scale : float, optional
    button : str, optional
        Hex colour of its buttons.
    patch : bool, optional
        With pockets sewn on, else cut in.
    named : str, optional
        Further class of its parts.
    """
    s, w, long = measures.shoulder, measures.lapel, measures.length
    pen: dict[str, Value] = {
        "stroke": INK,
        "stroke_width": MEDIUM * max(scale, 0.6),
        "stroke_linejoin": "round",
    }

    def shape(points: list[Point], part: str, **more: Value) -> Node:
        d = polyline(_by(at, scale, points), closed=True)
        return path(d, class_=f"{part} {named}".strip(), **(pen | more))

    arm = [(-s, 10), (-s - 14, long * 0.86), (-s + 5, long * 0.88), (-s + 10, 54)]
    side = [(-12, 0), (-s, 10), (-s + 10, 54), (-s + 12, long * 0.56), (-s + 4, long)]
    roll = [(-12, 0), (-4 - w, 32), (-6 - w * 0.9, 40), (0, CLOSED_AT)]
    left, right = _both(roll)
    nodes = [shape(each, "sleeve", fill=dark) for each in _both(arm)]
    nodes.append(shape([*side, *((-x, y) for x, y in reversed(side))], "body", fill=fill))
    nodes.append(shape([(-12, 0), (0, CLOSED_AT), (12, 0)], "opening", fill="#fbf8f0"))
    nodes += [shape(each, "lapel", fill=dark) for each in (left, right)]
    nodes.append(
        line(
            *_by(at, scale, [(0, CLOSED_AT), (0, long)]),
            stroke=INK,
            stroke_width=FINE,
            class_="edge",
        )
    )
    pocket = [(-s + 14, long * 0.7), (-10, long * 0.7)]
    deep = 26.0 if patch else 4.0
    for points in _both([*pocket, (-10, long * 0.7 + deep), (-s + 14, long * 0.7 + deep)]):
        nodes.append(
            shape(points, "patch-pocket" if patch else "welt", fill=fill if patch else dark)
        )
    for y in (CLOSED_AT + 2, CLOSED_AT + 20):
        (middle,) = _by(at, scale, [(0, y)])
        nodes.append(
            circle(
                middle,
                3.4 * scale,
                fill=button,
                stroke=INK,
                stroke_width=FINE,
                class_=f"button {named}".strip(),
            )
        )
    return [*hanger(at, scale, named), *nodes]


def trousers(at: Point, fill: Value) -> list[Node]:
    """Trousers that hang by the waist.

    Parameters
    ----------
    at : Point
        Middle of the waist.
    fill : str or Ref
    """
    outline: list[Point] = [(-24, 0), (24, 0), (30, 120), (7, 120), (0, 38), (-7, 120), (-30, 120)]
    return [
        path(
            polyline(_by(at, 1.0, outline), closed=True),
            fill=fill,
            stroke=INK,
            stroke_width=MEDIUM,
            stroke_linejoin="round",
            class_="piece trousers",
        ),
        rect(at[0] - 24, at[1], 48, 7, fill="none", stroke=INK, stroke_width=FINE),
    ]


def waistcoat(at: Point, fill: Value, button: str) -> list[Node]:
    """A waistcoat.

    Parameters
    ----------
    at : Point
        Middle of the neck.
    fill : str or Ref
    button : str
        Hex colour of its buttons.
    """
    outline: list[Point] = [(-9, 0), (-26, 4), (-22, 40), (-26, 84), (-8, 92), (0, 84)]
    mirrored: list[Point] = [(-x, y) for x, y in reversed(outline)]
    opening: list[Point] = [(-9, 0), (0, 38), (9, 0)]
    return [
        path(
            polyline(_by(at, 1.0, [*outline, *mirrored]), closed=True),
            fill=fill,
            stroke=INK,
            stroke_width=MEDIUM,
            stroke_linejoin="round",
            class_="piece waistcoat",
        ),
        path(polyline(_by(at, 1.0, opening), closed=True), fill="#fbf8f0", stroke=INK),
        *(circle((at[0], at[1] + y), 2.4, fill=button, stroke=INK) for y in (46, 58, 70)),
    ]
