"""Which signal to look at next, and when to stop looking.

Knowing a signal is worth money in three ways: the ticket comes nearer to the right price, the item
goes to the right rail, and it goes the right way (put out, mended, held, passed on). For each
signal not yet looked at, that worth is averaged over what one may find, and set against the
seconds it takes at the shop's wage.

Notes
-----
Expected value of sample information (Raiffa and Schlaifer 1961, Applied Statistical Decision
Theory, ch. 4, cited from memory), for one signal at a time, with squared log error as the loss of
a wrong ticket. Signals are taken as independent of one another.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.signals import Signal
from resale.pricing.model.terms import UNKNOWN, Array
from resale.pricing.valuation.tiers import ROUTES, tier_of
from resale.pricing.valuation.valuer import Valuations, Valuer

SECONDS_AN_HOUR = 3600.0


@dataclass(frozen=True)
class Check:
    """What looking at one signal would be worth.

    Attributes
    ----------
    seconds : float
    gain : float
        Expected gain (money) from knowing it.
    cost : float
        What the seconds cost at the shop's wage (money).
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
        """Gain for each second (money)."""
        return self.gain / self.seconds


def next_checks(valuer: Valuer, readings: Readings, valuations: Valuations) -> list[Check]:
    """Signals of one item not yet looked at, the best first.

    Parameters
    ----------
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
    table = valuer.model.tables[kind.id]
    codes = readings.codes[0, valuer.columns[kind.id][: len(kind.signals)]]
    open_signals = [
        place
        for place, signal in enumerate(kind.signals)
        if codes[place] == UNKNOWN and _is_asked(signal, kind.signals, codes)
    ]
    found = _Findings.of(valuer, valuations, kind.id)
    checks = []
    for place in open_signals:
        signal = kind.signals[place]
        options = slice(table.starts[place], table.starts[place + 1])
        share = np.array([option.share for option in signal.options])
        checks.append(found.check(signal, share / share.sum(), options))
    return sorted(checks, key=lambda check: -check.rate)


def _is_asked(signal: Signal, signals: tuple[Signal, ...], codes: npt.NDArray[np.int16]) -> bool:
    """Whether the condition of a conditional signal holds."""
    if signal.only_if is None:
        return True
    place = next(i for i, other in enumerate(signals) if other.id == signal.only_if.signal)
    if codes[place] == UNKNOWN:
        return False
    return signals[place].options[codes[place]].id in signal.only_if.options


@dataclass(frozen=True)
class _Findings:
    """What the item would become with each single option known."""

    valuer: Valuer
    price: float
    effect: Array
    tier_now: int
    tier: npt.NDArray[np.intp]
    route_now: int
    route: npt.NDArray[np.intp]

    @classmethod
    def of(cls, valuer: Valuer, now: Valuations, kind: str) -> _Findings:
        """Look at all options of the kind in one pass."""
        table, gates = valuer.model.tables[kind], valuer.gates[kind]
        effect = table.rules + table.sales
        standing = now.standing[0] + effect
        price = float(now.anchor[0] * np.exp(now.level[0] + now.standing[0]))
        cheap = price * np.exp(effect) < valuer.terms.least_ticket
        return cls(
            valuer,
            price,
            effect,
            int(now.tier[0]),
            tier_of(standing, valuer.starts, np.maximum(gates.cap[:-1], now.cap[0])),
            int(now.route[0]),
            np.maximum(
                np.maximum(gates.route[:-1], now.gate_route[0]), cheap * ROUTES.index("pass_on")
            ),
        )

    def check(self, signal: Signal, share: Array, options: slice) -> Check:
        """Average over what one may find."""
        terms = self.valuer.terms
        effect = self.effect[options]
        variance = float(share @ effect**2)
        tier_change = float(share @ (self.tier[options] != self.tier_now))
        route_change = float(share @ (self.route[options] != self.route_now))
        gain = self.price * (
            terms.mispricing_cost * variance
            + terms.wrong_tier_cost * tier_change
            + terms.wrong_route_cost * route_change
        )
        return Check(
            signal,
            signal.seconds,
            gain,
            terms.wage / SECONDS_AN_HOUR * signal.seconds,
            self.price * float(np.sqrt(share @ np.expm1(effect) ** 2)),
            variance,
            tier_change,
            route_change,
        )
