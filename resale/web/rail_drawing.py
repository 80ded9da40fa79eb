"""The rail drawn to scale: each item a hanger's width, told by nothing but its tier's stitches."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from resale.web.rail_lines import RailLine

# So long a piece of rail is drawn on one row; a longer rail goes on below.
ROW_CM = 200.0
PER_CM = 6.0
ROW_HEIGHT = 92.0


@dataclass(frozen=True)
class Hanger:
    """One item on the drawing, in its units."""

    line: RailLine
    x: float
    y: float
    width: float
    new: bool


@dataclass(frozen=True)
class Group:
    """Where a kind begins on the rail."""

    name: str
    x: float
    y: float


@dataclass(frozen=True)
class Bar:
    """A piece of the rail itself."""

    y: float
    width: float
    ticks: tuple[tuple[float, int], ...]


@dataclass(frozen=True)
class RailDrawing:
    """What the picture holds."""

    width: float
    height: float
    hangers: tuple[Hanger, ...]
    groups: tuple[Group, ...]
    bars: tuple[Bar, ...]


def drawing_of(cm: float, hanging: Iterable[RailLine], chosen: Iterable[RailLine]) -> RailDrawing:
    """Hang items by kind and size, as a shop would.

    An item that does not fit what is left of a row begins the next one; the rail has no rows.
    """
    both = [(line, False) for line in hanging] + [(line, True) for line in chosen]
    both.sort(key=lambda one: (one[0].kind_name, one[0].size, one[0].number))
    row_cm = min(cm, ROW_CM)
    at, row, kind = 0.0, 0, ""
    hangers, groups = [], []
    for line, new in both:
        if at + line.width > row_cm + 1e-9:
            at, row, kind = 0.0, row + 1, ""
        if line.kind != kind:
            kind = line.kind
            groups.append(Group(line.kind_name, at * PER_CM, row * ROW_HEIGHT))
        hangers.append(Hanger(line, at * PER_CM, row * ROW_HEIGHT, line.width * PER_CM, new))
        at += line.width
    rows = max(row + 1, int(-(-cm // row_cm)))
    bars = tuple(_bar(place, cm, row_cm) for place in range(rows))
    return RailDrawing(row_cm * PER_CM, rows * ROW_HEIGHT, tuple(hangers), tuple(groups), bars)


def _bar(row: int, cm: float, row_cm: float) -> Bar:
    length = min(max(cm - row * row_cm, 0.0), row_cm) or row_cm
    step = 50 if row_cm > 100 else 10
    start = int(row * row_cm)
    ticks = tuple((at * PER_CM, start + at) for at in range(0, int(length) + 1, step))
    return Bar(row * ROW_HEIGHT, length * PER_CM, ticks)
