"""Why an item stays in the back room, in plain words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from resale.pricing.model.columns.terms import Array
from resale.selling.rail.balance import RailItem, Side

PLAIN = "{:g}".format


@dataclass(frozen=True)
class LeftOut:
    """An item that stays.

    Attributes
    ----------
    reason : str
        ``no_gain``, ``too_wide``, ``at_most``, ``rail_full``, ``against_wish``, ``unbalances`` or
        ``unproven``.
    why : str
        The reason in words.
    """

    number: str
    reason: str
    why: str


@dataclass(frozen=True)
class _Rail:
    """What is known of the choice made.

    Attributes
    ----------
    chosen : ndarray, shape (items,)
    free, length : float
        Left of the rail, and all of it (cm).
    least_rate : float
        The lowest gain a centimetre among the chosen (minor units).
    """

    chosen: Array
    free: float
    length: float
    sides: Sequence[Side]
    least_rate: float
    show: Callable[[int], str]
    number: Callable[[float], str]


def why_left_out(
    items: Sequence[RailItem],
    chosen: Array,
    free: float,
    length: float,
    sides: Sequence[Side],
    show: Callable[[int], str],
    number: Callable[[float], str] = PLAIN,
) -> tuple[LeftOut, ...]:
    """Give each item that is not chosen its reason.

    Parameters
    ----------
    items : sequence of RailItem
    chosen : array of bool, shape (n_items,)
        Which hang.
    free : float
        Rail still empty beside what hangs already (cm).
    length : float
        The whole rail (cm).
    sides : sequence of Side
        What was asked of kinds and sizes.
    show : callable
        Writes minor units as money.
    number : callable
        Writes a length (cm).
    """
    rates = [item.gain / item.width for item, out in zip(items, chosen, strict=True) if out]
    rail = _Rail(chosen, free, length, sides, min(rates, default=0.0), show, number)
    left = []
    for place, item in enumerate(items):
        if not chosen[place]:
            reason, why = _reason(place, item, rail)
            left.append(LeftOut(item.number, reason, why))
    return tuple(left)


def _reason(place: int, item: RailItem, rail: _Rail) -> tuple[str, str]:
    """Find the first thing that stands against an item, the plainest first."""
    if item.gain <= 0:
        gain = rail.show(round(item.gain))
        return "no_gain", f"it gains nothing by going out now ({gain})"
    needs = rail.number(item.width)
    if item.width > rail.length:
        return "too_wide", f"it needs {needs} cm, the whole rail has {rail.number(rail.length)} cm"
    more = rail.chosen.copy()
    more[place] = 1.0
    broken = [s for s in rail.sides if s.hard and s.beyond(more) > s.beyond(rail.chosen)]
    over = [side for side in broken if side.which == "most"]
    if over:
        return "at_most", _at_most(over[0])
    if item.width > rail.free + 1e-9:
        return _no_room(place, item, rail)
    if broken:
        return "unbalances", f"with it the rail would not keep {broken[0].words}"
    return _against_wish(item, more, rail)


def _against_wish(item: RailItem, more: Array, rail: _Rail) -> tuple[str, str]:
    """Say what wish an item with room would go against."""
    cost = _wish_cost(more, rail)
    if cost < item.gain:
        return "unproven", "it would add a little; the search stopped within the gap that is shown"
    gain, counts = rail.show(round(item.gain)), rail.show(round(cost))
    wishes = " and ".join(
        side.words
        for side in rail.sides
        if not side.hard and side.beyond(more) > side.beyond(rail.chosen)
    )
    return "against_wish", f"it brings {gain}, but counts {counts} against the wish: {wishes}"


def _at_most(side: Side) -> str:
    """Say that a group has all that it may have."""
    if side.bound.share:
        return f"with it the rail would hold more than {side.words.removeprefix('at most ')}"
    return f"{side.bound.subject}: already at the most asked for ({side.words})"


def _no_room(place: int, item: RailItem, rail: _Rail) -> tuple[str, str]:
    """Say that the room is better used, or kept for others."""
    rate, needs, free = item.gain / item.width, rail.number(item.width), rail.number(rail.free)
    start = f"rail full: it needs {needs} cm, {free} cm are free"
    mine, least = rail.show(round(rate)), rail.show(round(rail.least_rate))
    if rate < rail.least_rate and mine != least:
        return "rail_full", f"{start}; it brings {mine} a cm, the last chosen {least}"
    for side in rail.sides:
        # In place of one of another group, it adds one to its own and none to all.
        swapped = float(side.weights @ rail.chosen) + 1.0
        grows = side.weights[place] > 0
        if side.hard and side.which == "most" and side.bound.share and grows and side.off(swapped):
            limit = side.words.removeprefix("at most ")
            return "at_most", f"{start}; in place of another it would bring more than {limit}"
    return "rail_full", f"{start}, and what would make way for it brings more, or is asked for"


def _wish_cost(more: Array, rail: _Rail) -> float:
    """What soft bounds would count against one more item (minor units)."""
    return float(
        sum(
            (side.bound.penalty or 0.0) * (side.beyond(more) - side.beyond(rail.chosen))
            for side in rail.sides
            if not side.hard
        )
    )
