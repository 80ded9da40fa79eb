"""The rail drawn to scale: each item a hanger's width, told by nothing but its tier's stitches."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from resale.services.on_hand.lines import RailLine

# So long a piece of rail is drawn on one row; a longer rail goes on below.
ROW_CM = 200.0
PER_CM = 6.0
ROW_HEIGHT = 106.0


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
    """Hang items by kind and size, as a shop would, and break the rail between two items.

    Parameters
    ----------
    cm : float
        Length of the rail.
    hanging : iterable of RailLine
        What hangs there.
    chosen : iterable of RailLine
        What is to go out.
    """
    both = [(line, False) for line in hanging] + [(line, True) for line in chosen]
    both.sort(key=lambda one: (one[0].kind_name, one[0].size, one[0].number))
    starts, at, kind = [0.0], 0.0, ""
    hangers, groups = [], []
    for line, new in both:
        if at + line.width > starts[-1] + ROW_CM + 1e-9:
            starts.append(at)
            kind = ""
        x, y = (at - starts[-1]) * PER_CM, (len(starts) - 1) * ROW_HEIGHT
        if line.kind != kind:
            kind = line.kind
            groups.append(Group(line.kind_name, x, y))
        hangers.append(Hanger(line, x, y, line.width * PER_CM, new))
        at += line.width
    # What stays free goes on to the end of the rail.
    while starts[-1] + ROW_CM < cm:
        starts.append(starts[-1] + ROW_CM)
    ends = [*starts[1:], max(cm, at)]
    bars = tuple(_bar(row, starts[row], ends[row]) for row in range(len(starts)))
    width = max(bar.width for bar in bars)
    return RailDrawing(width, len(bars) * ROW_HEIGHT, tuple(hangers), tuple(groups), bars)


def _bar(row: int, start: float, end: float) -> Bar:
    step = 50 if end - start > 100 else 10
    first = int(-(-start // step) * step)
    # A figure at the very end would stand outside the picture.
    marks = (cm for cm in range(first, int(end) + 1, step) if (end - cm) * PER_CM > 30)
    return Bar(
        row * ROW_HEIGHT,
        (end - start) * PER_CM,
        tuple(((cm - start) * PER_CM, cm) for cm in marks),
    )
