"""Which signal to look at next, and when to stop looking, for one item or for a rack.

Knowing a signal is worth money in three ways: the ticket comes nearer to the right price, the item
goes to the right rail, and it goes the right way (put out, mended, held, passed on). For each
signal not yet looked at, that worth is averaged over what one may find (`check_prospects.py`), and
set against the seconds it takes at the shop's wage: to look, and to make up one's mind and tap the
answer.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.signals import Signal
from resale.pricing.model.columns.terms import Array
from resale.pricing.valuation.check_prospects import ANSWERING, prospects
from resale.pricing.valuation.tiers import Index
from resale.pricing.valuation.valuations import Valuations
from resale.pricing.valuation.valuer import Valuer

STOP = -1


class Check(NamedTuple):
    """What looking at one signal would be worth; some fifty are made for every tap.

    Attributes
    ----------
    seconds : float
        Of looking.
    gain : float
        Expected gain (money) from knowing it.
    cost : float
        What those seconds and the answer's cost at the shop's wage (money).
    move : float
        How far the price would move, as a root mean square (money).
    variance : float
        Variance of log price that it would explain.
    tier_change, route_change : float
        Chance that the tier, or the route, would change.
    """

    signal: Signal
    seconds: float
    gain: float
    cost: float
    move: float
    variance: float
    tier_change: float
    route_change: float

    @property
    def worth_it(self) -> bool:
        """Whether the gain exceeds the sorter's time."""
        return self.gain > self.cost

    @property
    def rate(self) -> float:
        """Gain for each second of looking and answering (money)."""
        return self.gain / (self.seconds + ANSWERING)


@dataclass(frozen=True)
class BestChecks:
    """Which signal of each item to look at next.

    Attributes
    ----------
    signal : ndarray of int, shape (n,)
        Place among the signals of the item's kind; -1 is stop: no check is worth the time.
    gain, cost : ndarray, shape (n,)
        Expected gain of that check and what its seconds cost (money); 0 where it is stop.
    """

    signal: Index
    gain: Array
    cost: Array


def next_checks(valuer: Valuer, readings: Readings, valuations: Valuations) -> list[Check]:
    """Signals of one item not yet looked at, the best first.

    Parameters
    ----------
    valuer : Valuer
    readings : Readings
        A batch of one.
    valuations : Valuations
        What `valuer` says of it.

    Returns
    -------
    list of Check
        In falling order of gain for each second; when none is `worth_it`, stop.
    """
    kind = tuple(valuer.book.kinds.values())[readings.kinds[0]]
    found = prospects(valuer, kind, readings, valuations, np.array([0]))
    said = (
        found.gain[0],
        found.cost,
        found.price[0] * np.sqrt(found.square[0]),
        found.variance[0],
        found.tier_change[0],
        found.route_change[0],
    )
    rows = zip(kind.signals, found.still[0].tolist(), *(one.tolist() for one in said), strict=True)
    checks = [Check(signal, signal.seconds, *row) for signal, still, *row in rows if still]
    return sorted(checks, key=lambda check: -check.rate)


def best_checks(valuer: Valuer, readings: Readings, valuations: Valuations) -> BestChecks:
    """Find the best check of each of many items.

    Parameters
    ----------
    valuer : Valuer
    readings : Readings
        Some thousand items; memory grows with items times options of a kind.
    valuations : Valuations
        What `valuer` says of them.

    Returns
    -------
    BestChecks
    """
    count = len(readings)
    best = BestChecks(np.full(count, STOP, dtype=np.intp), np.zeros(count), np.zeros(count))
    for place, kind in enumerate(valuer.book.kinds.values()):
        rows = np.flatnonzero(readings.kinds == place)
        if not len(rows):
            continue
        found = prospects(valuer, kind, readings, valuations, rows)
        rate = found.rate
        chosen = rate.argmax(axis=1)
        gain, cost = found.gain[np.arange(len(rows)), chosen], found.cost[chosen]
        worth = np.isfinite(rate.max(axis=1)) & (gain > cost)
        best.signal[rows] = np.where(worth, chosen, STOP)
        best.gain[rows], best.cost[rows] = np.where(worth, gain, 0.0), np.where(worth, cost, 0.0)
    return best
