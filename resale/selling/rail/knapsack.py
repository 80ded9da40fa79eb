"""Which items go out now: the choice that gains most within the rail's length and balance.

maximise  sum of gain · x  -  sum of penalty · items beyond a soft bound
subject to  sum of width · x  <=  free length,  hard bounds kept,  x = 0 or 1

Notes
-----
Solved by HiGHS (Huangfu and Hall 2018, Mathematical Programming Computation 10, 119-142, cited
from memory) through SciPy. Widths are counted in whole tenths of a millimetre, so that a rail is
filled to the last one and never beyond.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, OptimizeResult, milp
from scipy.sparse import csr_array, eye_array, hstack

from resale.errors import ReadingError, ResaleError, SettingError
from resale.pricing.model.terms import Array
from resale.selling.rail.balance import Bound, RailItem, Side, sides_of
from resale.selling.rail.reasons import LeftOut, why_left_out

# Tenths of a millimetre in a centimetre.
_FINE = 100
_INFEASIBLE = 2


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
        Soft bounds that are not kept, in words.
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


def plan_rail(
    items: Sequence[RailItem],
    length: float,
    bounds: Sequence[Bound] = (),
    *,
    already: Sequence[RailItem] = (),
    show: Callable[[int], str] = str,
    gap: float = 0.002,
    seconds: float = 4.0,
) -> RailPlan:
    """Choose the items that go out now.

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
    gap : float
        Stop when the choice is proven to lie within this share of the best.
    seconds : float
        Stop then with the best choice found.

    Raises
    ------
    RailError
        Where no choice keeps the hard bounds, or none was found in time; it names the bounds.
    ReadingError, SettingError
        For items named twice, or a rail with no length.
    """
    _check(items, already, length)
    free = round(length * _FINE) - sum(_widths(already))
    if free < 0:
        raise SettingError(
            f"what hangs on the rail takes {(free / -_FINE):g} cm more than its {length:g} cm",
            remedy="take items off, or measure the rail again",
        )
    sides = sides_of(bounds, items, already)
    widths = np.array(_widths(items), dtype=float)
    chosen, best_possible = _solve(items, widths, free, sides, gap, seconds)
    chosen = _filled(items, widths, free, sides, chosen)
    used = int(widths @ chosen)
    return RailPlan(
        chosen=tuple(item.number for item, out in zip(items, chosen, strict=True) if out),
        left_out=why_left_out(items, chosen, (free - used) / _FINE, length, sides, show),
        gain=float(_gains(items) @ chosen),
        penalty=_penalty(sides, chosen),
        best_possible=best_possible,
        used=used / _FINE,
        free=(free - used) / _FINE,
        kinds=dict(Counter(i.kind for i, out in zip(items, chosen, strict=True) if out)),
        missed=tuple(side.words for side in sides if side.beyond(chosen)),
    )


def _check(items: Sequence[RailItem], already: Sequence[RailItem], length: float) -> None:
    if not 0 < length < np.inf:
        raise SettingError(f"the rail is {length:g} cm long", remedy="give a length above 0")
    for number, times in Counter(item.number for item in (*items, *already)).most_common(1):
        if times > 1:
            raise ReadingError(f"item {number} is listed {times} times", remedy="list it once")


def _widths(items: Sequence[RailItem]) -> list[int]:
    """Widths in whole tenths of a millimetre."""
    return [max(round(item.width * _FINE), 1) for item in items]


def _gains(items: Sequence[RailItem]) -> Array:
    return np.array([item.gain for item in items], dtype=float)


def _penalty(sides: Sequence[Side], chosen: Array) -> float:
    return sum((side.bound.penalty or 0.0) * side.beyond(chosen) for side in sides)


def _solve(
    items: Sequence[RailItem],
    widths: Array,
    free: int,
    sides: Sequence[Side],
    gap: float,
    seconds: float,
) -> tuple[Array, float]:
    """Give the choice as zeros and ones, and the proven bound on its worth (minor units)."""
    if not items:
        chosen = np.zeros(0)
        short = [side for side in sides if side.hard and side.beyond(chosen)]
        if short:
            raise _impossible(items, widths, free, sides, seconds)
        return chosen, -_penalty(sides, chosen)
    costs = np.concatenate([-_gains(items), [side.bound.penalty or 0.0 for side in sides]])
    most = np.array([0.0 if side.hard else np.inf for side in sides])
    found = _run(costs, widths, free, sides, most, gap, seconds)
    if found.status == _INFEASIBLE:
        raise _impossible(items, widths, free, sides, seconds)
    if found.x is None:
        raise RailError(
            f"no choice was found in {seconds:g} seconds",
            where="rail",
            remedy="allow more time, or ask for fewer bounds",
        )
    return np.round(found.x[: len(items)]), -float(found.mip_dual_bound)


def _run(
    costs: Array,
    widths: Array,
    free: int,
    sides: Sequence[Side],
    most: Array,
    gap: float,
    seconds: float,
) -> OptimizeResult:
    """Hand the programme to HiGHS: items first, then one column for what each side is missed by."""
    many = len(widths)
    slack = np.zeros(len(sides))
    rows = [LinearConstraint(csr_array(np.concatenate([widths, slack])[None, :]), -np.inf, free)]
    if sides:
        sign = np.array([1.0 if side.which == "least" else -1.0 for side in sides])
        limits = np.array([side.limit for side in sides])
        weights = csr_array(np.vstack([side.weights for side in sides]))
        matrix = hstack([weights, eye_array(len(sides)) * sign[:, None]], format="csr")
        rows.append(
            LinearConstraint(
                matrix, np.where(sign > 0, limits, -np.inf), np.where(sign > 0, np.inf, limits)
            )
        )
    return milp(
        costs,
        integrality=np.concatenate([np.ones(many), slack]),
        bounds=Bounds(0.0, np.concatenate([np.ones(many), most])),
        constraints=rows,
        options={"mip_rel_gap": gap, "time_limit": seconds},
    )


def _filled(
    items: Sequence[RailItem], widths: Array, free: int, sides: Sequence[Side], chosen: Array
) -> Array:
    """Use up room that a search stopped early has left, the best items first."""
    gains = _gains(items)
    room = free - float(widths @ chosen)
    amounts = [float(side.weights @ chosen) for side in sides]
    filled = chosen.copy()
    for place in np.argsort(-gains, kind="stable"):
        if filled[place] or widths[place] > room:
            continue
        after = [now + side.weights[place] for now, side in zip(amounts, sides, strict=True)]
        if gains[place] > _cost_of_step(sides, amounts, after):
            filled[place] = 1.0
            room -= widths[place]
            amounts = after
    return filled


def _cost_of_step(sides: Sequence[Side], before: Sequence[float], after: Sequence[float]) -> float:
    """What one more item costs in penalties: without end where it goes against a hard bound."""
    cost = 0.0
    for side, now, then in zip(sides, before, after, strict=True):
        worse = side.off(then) - side.off(now)
        if side.bound.penalty is not None:
            cost += side.bound.penalty * worse
        elif worse > 0:
            return np.inf
    return cost


def _impossible(
    items: Sequence[RailItem], widths: Array, free: int, sides: Sequence[Side], seconds: float
) -> RailError:
    """Say which hard bounds cannot be kept: the fewest items by which any choice misses them."""
    hard = [side for side in sides if side.hard]
    chosen = np.zeros(len(items))
    if items:
        costs = np.concatenate([np.zeros(len(items)), np.ones(len(hard))])
        found = _run(costs, widths, free, hard, np.full(len(hard), np.inf), 0.0, seconds)
        chosen = chosen if found.x is None else np.round(found.x[: len(items)])
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
