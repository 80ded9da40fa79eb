"""Which items go out now: the choice that gains most within the rail's length and balance.

`programme` writes it as arrays, `rounding` solves it; this file checks what is asked, and puts
the answer into items, reasons and words.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from resale.errors import ReadingError, ResaleError, SettingError
from resale.pricing.model.columns.terms import Array
from resale.selling.rail.balance import Bound, RailItem, Side, sides_of
from resale.selling.rail.programme import Programme
from resale.selling.rail.reasons import PLAIN, LeftOut, why_left_out
from resale.selling.rail.rounding import best_choice

# Tenths of a millimetre in a centimetre.
_FINE = 100
# Below a thousandth a better choice is not worth a word, nor a second of waiting.
GOOD_ENOUGH = 0.001


class RailError(ResaleError):
    """No choice of items can keep what was asked of the rail."""


@dataclass(frozen=True)
class RailPlan:
    """Which items go out, and why the others stay.

    Attributes
    ----------
    chosen : tuple of str
        Item numbers, in the order given.
    left_out : tuple of LeftOut
    gain, penalty : float
        Sum of gains, and what soft bounds count against it (minor units).
    best_possible : float
        No choice can bring more than this, penalties taken off (minor units).
    used, free : float
        Length taken by the chosen items, and left after them (cm).
    kinds : dict
        Items chosen of each kind.
    missed : tuple of str
        Bounds that are not kept, in words: soft ones; hard ones too where time ran out before a
        choice was found that keeps them.
    """

    chosen: tuple[str, ...]
    left_out: tuple[LeftOut, ...]
    gain: float
    penalty: float
    best_possible: float
    used: float
    free: float
    kinds: dict[str, int]
    missed: tuple[str, ...]

    @property
    def net(self) -> float:
        """Gain less penalties (minor units)."""
        return self.gain - self.penalty

    @property
    def gap(self) -> float:
        """Proven: the best choice brings at most this share more than the plan."""
        short = max(self.best_possible - self.net, 0.0)
        if short <= 1e-9 * max(abs(self.best_possible), 1.0):
            return 0.0
        return short / abs(self.net) if self.net else float("inf")

    @property
    def said_gap(self) -> str:
        """The gap in words; nothing where it is too small to matter."""
        if self.gap <= GOOD_ENOUGH:
            return ""
        if self.gap > 1:
            return "The search was stopped early: another choice may bring far more than this one."
        return (
            "The search was stopped early: another choice may bring up to "
            f"{100 * self.gap:.2g} % more than this one."
        )


def plan_rail(
    items: Sequence[RailItem],
    length: float,
    bounds: Sequence[Bound] = (),
    *,
    already: Sequence[RailItem] = (),
    show: Callable[[int], str] = str,
    number: Callable[[float], str] = PLAIN,
    gap: float = GOOD_ENOUGH / 2,
    seconds: float = 3.0,
) -> RailPlan:
    """Choose the items that go out now; there is always an answer, within the time.

    Parameters
    ----------
    items : sequence of RailItem
        What waits in the back room.
    length : float
        Of the whole rail (cm).
    bounds : sequence of Bound
        Balance of kinds and sizes, over what hangs already and what is chosen.
    already : sequence of RailItem
        What hangs on the rail and stays.
    show : callable
        Writes minor units as money, for the reasons.
    number : callable
        Writes a length (cm).
    gap : float
        Stop when the choice is proven to lie within this share of the best.
    seconds : float
        Stop then with the best choice found; 0 rounds the relaxation and no more.

    Returns
    -------
    RailPlan

    Raises
    ------
    RailError
        Where it is proven that no choice keeps the hard bounds; it names them.
    ReadingError, SettingError
        For items named twice, or a rail with no length.
    """
    _check(items, already, length)
    free = round(length * _FINE) - int(_widths(already).sum())
    if free < 0:
        raise SettingError(
            f"what hangs on the rail takes {(free / -_FINE):g} cm more than its {length:g} cm",
            remedy="take items off, or measure the rail again",
        )
    sides = sides_of(bounds, items, already)
    gains = np.array([item.gain for item in items], dtype=float)
    programme = Programme(gains, _widths(items), free, tuple(sides))
    choice = best_choice(programme, gap, seconds)
    if not np.isfinite(choice.worth):
        raise _impossible(programme, seconds)
    chosen = choice.chosen
    left = free - float(programme.widths @ chosen)
    return RailPlan(
        chosen=tuple(item.number for item, out in zip(items, chosen, strict=True) if out),
        left_out=why_left_out(items, chosen, left / _FINE, length, sides, show, number),
        gain=float(gains @ chosen),
        penalty=float(gains @ chosen) - programme.net(chosen),
        best_possible=choice.worth,
        used=(free - left) / _FINE,
        free=left / _FINE,
        kinds=dict(Counter(i.kind for i, out in zip(items, chosen, strict=True) if out)),
        missed=tuple(side.words for side in sides if side.beyond(chosen)),
    )


def _check(items: Sequence[RailItem], already: Sequence[RailItem], length: float) -> None:
    if not 0 < length < np.inf:
        raise SettingError(f"the rail is {length:g} cm long", remedy="give a length above 0")
    for number, times in Counter(item.number for item in (*items, *already)).most_common(1):
        if times > 1:
            raise ReadingError(f"item {number} is listed {times} times", remedy="list it once")


def _widths(items: Sequence[RailItem]) -> Array:
    """Widths in whole tenths of a millimetre."""
    return np.array([max(round(item.width * _FINE), 1) for item in items], dtype=float)


def _impossible(programme: Programme, seconds: float) -> RailError:
    """Say which hard bounds cannot be kept: the fewest items by which any choice misses them."""
    hard = [side for side in programme.sides if side.hard]
    wishes = tuple(replace(side, bound=replace(side.bound, penalty=1.0)) for side in hard)
    nothing = np.zeros_like(programme.gains)
    chosen = best_choice(replace(programme, gains=nothing, sides=wishes), 0.0, seconds).chosen
    missed = [_missed(side, chosen) for side in hard if side.beyond(chosen)]
    return RailError(
        "no choice of items keeps all that is asked: "
        f"the nearest misses {', '.join(missed) or 'more than one bound by a little'}",
        where="rail",
        remedy="ask for less of it, lengthen the rail, or let it be a wish with a penalty",
    )


def _missed(side: Side, chosen: Array) -> str:
    """Say how far the nearest choice stays from a bound."""
    if side.bound.share:
        return side.words
    few = side.which == "least" and side.waiting < side.limit
    return f"{side.words} by {side.beyond(chosen):g}{f' ({side.waiting} wait)' if few else ''}"
