"""Read a drawing back from its own text: elements by class, outlines as points, colours.

Written apart from the package, so that a truth is measured and not repeated.
"""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import pairwise
from statistics import median
from xml.etree import ElementTree

Element = ElementTree.Element
Point = tuple[float, float]
NAMESPACE = "{http://www.w3.org/2000/svg}"


@lru_cache(maxsize=64)
def read(svg: str) -> Element:
    """The drawing's root element; raises if the text is not well-formed."""
    return ElementTree.fromstring(svg)  # noqa: S314 - our own text


def classes(element: Element) -> set[str]:
    return set(element.get("class", "").split())


def having(svg: str, *names: str) -> list[Element]:
    """Elements that have all of the class names, in the order drawn."""
    return [each for each in read(svg).iter() if set(names) <= classes(each)]


def text_of(svg: str, name: str) -> list[str]:
    return [each.text or "" for each in having(svg, name)]


def at(element: Element, *names: str) -> list[float]:
    return [float(element.get(name, "nan")) for name in names]


_PIECE = re.compile(r"([MLCZHVlhvqQa])|(-?\d+(?:\.\d+)?)")


def points(element: Element) -> list[Point]:
    """Points along a line or a path of absolute M, L, H, V, C and Z pieces; curves in 8 steps."""
    if element.tag == NAMESPACE + "line":
        x1, y1, x2, y2 = at(element, "x1", "y1", "x2", "y2")
        return [(x1, y1), (x2, y2)]
    found: list[Point] = []
    pieces = _PIECE.findall(element.get("d", ""))
    letter, numbers = "M", []
    for sign, digits in [*pieces, ("Z", "")]:
        if sign:
            assert not numbers, f"a piece is cut short in {element.get('d')}"
            letter = sign
            continue
        numbers.append(float(digits))
        wanted = {"M": 2, "L": 2, "C": 6, "H": 1, "V": 1}[letter]
        if len(numbers) == wanted:
            _go(letter, numbers, found)
            numbers = []
    return found


def _go(letter: str, numbers: list[float], found: list[Point]) -> None:
    if letter == "H":
        found.append((numbers[0], found[-1][1]))
    elif letter == "V":
        found.append((found[-1][0], numbers[0]))
    elif letter == "C":
        (x0, y0), (x1, y1, x2, y2, x3, y3) = found[-1], numbers
        for step in range(1, 9):
            t = step / 8
            a, b, c, d = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
            found.append((a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3))
    else:
        found.append((numbers[0], numbers[1]))


def box(outline: list[Point]) -> tuple[float, float, float, float]:
    """Left, top, right, bottom."""
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    return min(xs), min(ys), max(xs), max(ys)


def inside(point: Point, outline: list[Point]) -> bool:
    """Whether a point lies within an outline (even-odd rule)."""
    x, y = point
    odd = False
    for (x1, y1), (x2, y2) in zip(outline, outline[1:] + outline[:1], strict=True):
        if (y1 > y) != (y2 > y) and x < x1 + (x2 - x1) * (y - y1) / (y2 - y1):
            odd = not odd
    return odd


def passes(run: list[Point], outline: list[Point]) -> bool:
    """Whether a run of straight pieces goes through an outline."""
    for (x1, y1), (x2, y2) in pairwise(run):
        for step in range(41):
            t = step / 40
            if inside((x1 + (x2 - x1) * t, y1 + (y2 - y1) * t), outline):
                return True
    return False


def across_at(outline: list[Point], y: float) -> list[float]:
    """Where an outline crosses a height, from left to right."""
    found = []
    for (x1, y1), (x2, y2) in zip(outline, outline[1:] + outline[:1], strict=True):
        if (y1 > y) != (y2 > y):
            found.append(x1 + (x2 - x1) * (y - y1) / (y2 - y1))
    return sorted(found)


def down_at(outline: list[Point], x: float) -> list[float]:
    """Where an outline crosses a place, from top to bottom."""
    return across_at([(b, a) for a, b in outline], x)


def ruler_scale(svg: str, axis: str = "x") -> tuple[float, float]:
    """Drawing units to one of the ruler's numbers, and where its nought lies."""
    marks = [
        (int(each.text or ""), float(each.get(axis, "nan"))) for each in having(svg, "tick-label")
    ]
    (first, here), (last, there) = marks[0], marks[-1]
    unit = (there - here) / (last - first)
    return unit, here - first * unit


def shortest(out: float, repeat: float) -> float:
    """How far out of step, the short way, as a part of the repeat."""
    part = (out / repeat) % 1.0
    return min(part, 1.0 - part)


def usual(values: list[float]) -> float:
    return median(values)


def light(colour: str) -> float:
    """Relative luminance of ``#rrggbb`` (WCAG 2.2)."""
    parts = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    lit = [v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in parts]
    return 0.2126 * lit[0] + 0.7152 * lit[1] + 0.0722 * lit[2]


def contrast(first: str, second: str) -> float:
    """Contrast ratio of two colours (WCAG 2.2)."""
    dark, pale = sorted((light(first), light(second)))
    return (pale + 0.05) / (dark + 0.05)


def tile_colour(svg: str, name: str) -> str:
    """Ground colour of a cloth's tile, whose id ends in a name."""
    for each in read(svg).iter(NAMESPACE + "pattern"):
        if each.get("id", "").endswith(name):
            return each[0].get("fill", "")
    raise AssertionError(f"no tile {name}")
