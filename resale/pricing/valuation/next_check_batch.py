"""The best next check of many items at once; item by item it is `next_checks`."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.rule_book import Kind
from resale.pricing.model.terms import UNKNOWN, Array
from resale.pricing.valuation.next_check import SECONDS_AN_HOUR
from resale.pricing.valuation.tiers import ROUTES, Index, tier_of
from resale.pricing.valuation.valuer import Valuations, Valuer

STOP = -1


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


def best_checks(valuer: Valuer, readings: Readings, valuations: Valuations) -> BestChecks:
    """Find the best check of each item.

    Parameters
    ----------
    readings : Readings
        Some thousand items; memory grows with items times options of a kind.
    valuations : Valuations
        What `valuer` says of them.
    """
    count = len(readings)
    best = BestChecks(np.full(count, STOP, dtype=np.intp), np.zeros(count), np.zeros(count))
    for place, kind in enumerate(valuer.book.kinds.values()):
        rows = np.flatnonzero(readings.kinds == place)
        if not len(rows):
            continue
        codes = readings.codes[np.ix_(rows, valuer.columns[kind.id][: len(kind.signals)])]
        gain = _gains(valuer, kind, valuations, rows)
        seconds = np.array([signal.seconds for signal in kind.signals])
        rate = np.where(_open(kind, codes), gain / seconds, -np.inf)
        chosen = rate.argmax(axis=1)
        found = gain[np.arange(len(rows)), chosen]
        cost = valuer.terms.wage / SECONDS_AN_HOUR * seconds[chosen]
        worth = np.isfinite(rate.max(axis=1)) & (found > cost)
        best.signal[rows] = np.where(worth, chosen, STOP)
        best.gain[rows], best.cost[rows] = np.where(worth, found, 0.0), np.where(worth, cost, 0.0)
    return best


def _gains(valuer: Valuer, kind: Kind, now: Valuations, rows: Index) -> Array:
    """Expected gain (money) of knowing each signal of each item, shape (n, signals)."""
    table, gates, terms = valuer.model.tables[kind.id], valuer.gates[kind.id], valuer.terms
    # Labels and seasons stand behind the signals and are never looked for.
    width = int(table.starts[len(kind.signals)])
    effect = (table.rules + table.sales)[:width]
    share = _shares(kind)
    price = now.anchor[rows] * np.exp(now.level[rows] + now.standing[rows])
    tier = tier_of(
        now.standing[rows, None] + effect,
        valuer.starts,
        np.maximum(gates.cap[:width], now.cap[rows, None]),
    )
    cheap = price[:, None] * np.exp(effect) < terms.least_ticket
    route = np.maximum(
        np.maximum(gates.route[:width], now.gate_route[rows, None]),
        cheap * ROUTES.index("pass_on"),
    )
    tier_change = (tier != now.tier[rows, None]) @ share
    route_change = (route != now.route[rows, None]) @ share
    lost = (
        terms.mispricing_cost * (effect**2 @ share)
        + terms.wrong_tier_cost * tier_change
        + terms.wrong_route_cost * route_change
    )
    return np.asarray(price[:, None] * lost)


def _shares(kind: Kind) -> Array:
    """How common each option is, in the column of its signal, shape (options, signals)."""
    parts = [np.array([option.share for option in signal.options]) for signal in kind.signals]
    share = np.zeros((sum(map(len, parts)), len(parts)))
    start = 0
    for column, part in enumerate(parts):
        share[start : start + len(part), column] = part / part.sum()
        start += len(part)
    return share


def _open(kind: Kind, codes: npt.NDArray[np.int16]) -> npt.NDArray[np.bool_]:
    """Signals not yet looked at and, where they depend on another, asked for."""
    still = codes == UNKNOWN
    ids = [signal.id for signal in kind.signals]
    for column, signal in enumerate(kind.signals):
        if signal.only_if is None:
            continue
        other = ids.index(signal.only_if.signal)
        options = kind.signals[other].option_ids
        wanted = [options.index(option) for option in signal.only_if.options]
        still[:, column] &= np.isin(codes[:, other], wanted)
    return np.asarray(still)
