"""What knowing each sign would do: to the price, the tier and the way of one item or of a rack.

Every option of every sign not yet looked at is tried on what is known, and what it would change is
averaged over how likely each option is.

Notes
-----
Expected value of sample information (Raiffa and Schlaifer 1961, Applied Statistical Decision
Theory, ch. 4, cited from memory), for one signal at a time, with squared log error as the loss of
a wrong ticket. To answer takes M 1.35 s, P 1.10 s and K 0.20 s beside the look (Card, Moran and
Newell 1980, Communications of the ACM 23(7), 396-410; read in a university's page on the model).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from resale.garments.rulebook.readings import Readings, asked_only
from resale.garments.rulebook.rule_book import Kind
from resale.pricing.make.factor_score import chances_given
from resale.pricing.make.wear import fault_shares, moved_by_fault
from resale.pricing.model.columns.terms import UNKNOWN, Array
from resale.pricing.valuation.contributions import Contributions
from resale.pricing.valuation.option_table import OptionTable
from resale.pricing.valuation.tiers import ROUTES, Index, bounds_of, tier_of
from resale.pricing.valuation.valuations import Valuations
from resale.pricing.valuation.valuer import Valuer

SECONDS_AN_HOUR = 3600.0
ANSWERING = 1.35 + 1.10 + 0.20


@dataclass(frozen=True)
class Prospects:
    """What knowing each signal of items of one kind would do; arrays of shape (n, signals).

    Attributes
    ----------
    still : ndarray of bool
        Not looked at yet and, where it depends on another signal, asked for.
    square : ndarray
        Expected square of the move of the price, as a part of the price.
    """

    kind: Kind
    still: npt.NDArray[np.bool_]
    gain: Array
    cost: Array
    seconds: Array
    square: Array
    variance: Array
    tier_change: Array
    route_change: Array
    price: Array

    @property
    def rate(self) -> Array:
        """Gain a second; minus infinity where a sign was looked at or is not asked for."""
        return np.where(self.still, self.gain / (self.seconds + ANSWERING), -np.inf)


def prospects(
    valuer: Valuer, kind: Kind, readings: Readings, now: Valuations, rows: Index
) -> Prospects:
    """Try every option of every signal, and average over what one may find.

    Parameters
    ----------
    valuer : Valuer
    kind : Kind
    readings : Readings
        Of all items of a batch.
    now : Valuations
        What `valuer` says of them.
    rows : ndarray of int
        Which of them are of the kind.
    """
    table, terms, options = valuer.model.tables[kind.id], valuer.terms, valuer.options[kind.id]
    codes = valuer.with_extras(readings.rows(rows))[:, valuer.columns[kind.id]]
    found = now.found.get(kind.id) or valuer.contributions(kind.id, codes)
    # Labels and seasons stand behind the signals and are never looked for.
    codes = codes[:, : len(kind.signals)]
    effect, wear = if_known(options, table.slope, found, valuer.book.book.further_wear)
    chance = _chances(options, found)
    price = now.anchor[rows] * np.exp(now.level[rows] + now.standing[rows])
    tier, route = _tiers_and_routes(valuer, kind, now, rows, effect, wear, price)
    for option, met, then in _ruling_out(valuer, kind, readings, codes, rows):
        effect[met, option] = then.standing - now.standing[rows[met]]
        tier[met, option], route[met, option] = then.tier, then.route

    def expected(of_option: Array) -> Array:
        return np.add.reduceat(of_option * chance, options.starts, axis=1)

    tier_change = expected((tier != now.tier[rows, None]).astype(float))
    route_change = expected((route != now.route[rows, None]).astype(float))
    variance = expected(effect**2)
    lost = (
        terms.mispricing_cost * variance
        + terms.wrong_tier_cost * tier_change
        + terms.wrong_route_cost * route_change
    )
    return Prospects(
        kind,
        _open(options, codes),
        price[:, None] * lost,
        terms.wage / SECONDS_AN_HOUR * (options.seconds + ANSWERING),
        options.seconds,
        expected(np.expm1(effect) ** 2),
        variance,
        tier_change,
        route_change,
        price,
    )


def _tiers_and_routes(
    valuer: Valuer,
    kind: Kind,
    now: Valuations,
    rows: Index,
    effect: Array,
    wear: Array,
    price: Array,
) -> tuple[Index, Index]:
    """Tier and route of each item with each option known besides, each of shape (n, options)."""
    gates, width = valuer.gates[kind.id], effect.shape[1]
    cap = np.maximum(gates.cap[:width], now.cap[rows, None])
    bounds = bounds_of(valuer.book, cap.ravel(), wear.ravel())
    tier = tier_of((now.standing[rows, None] + effect).ravel(), valuer.starts, bounds)
    tier = tier.reshape(effect.shape)
    cheap = price[:, None] * np.exp(effect) < valuer.terms.least_ticket
    route = np.maximum(
        np.maximum(gates.route[:width], now.gate_route[rows, None]),
        cheap * ROUTES.index("pass_on"),
    )
    return tier, route


def _ruling_out(
    valuer: Valuer, kind: Kind, readings: Readings, codes: npt.NDArray[np.int16], rows: Index
) -> Iterator[tuple[int, Index, Valuations]]:
    """Items with an answer that an option of another sign would rule out, valued with that option.

    Yields the place of the option among all of the kind, the places of such items among `rows`,
    and what they come to.
    """
    options = valuer.options[kind.id]
    for place, code, out in options.rules_out:
        answered = (codes[:, out] != UNKNOWN).any(axis=1)
        met = np.flatnonzero((codes[:, place] == UNKNOWN) & answered)
        if len(met):
            tried = readings.rows(rows[met])
            tried.codes[:, valuer.columns[kind.id][place]] = code
            option = int(options.starts[place]) + code
            yield option, met, valuer.value(asked_only(valuer.book, tried))


def if_known(
    options: OptionTable, slope: float, found: Contributions, further: float
) -> tuple[Array, Array]:
    """What each option would add to the log price, known besides the rest, and all wear with it.

    A worth adds its effect. A tell moves the make that all tells share; a fault counts less beside
    a worse one, and makes lesser ones count less. An answer that says old gives back of the wear.

    Parameters
    ----------
    options : OptionTable
    slope : float
        What a unit of make adds to the log price.
    found : Contributions
        What is known of the items.
    further : float
        Part of its own effect that a fault keeps beside a worse one.

    Returns
    -------
    effect, wear : ndarray, shape (n, options)
    """
    now = found.precision[:, None]
    total = found.make[:, None] * slope * now
    effect = options.effect + (total + options.points) / (now + options.weight) - total / now
    worn = options.worn
    for old, more in ((False, options.effect[worn]), (True, options.worn_when_old)):
        rows = np.flatnonzero(found.old == old)
        effect[np.ix_(rows, worn)] = moved_by_fault(found.faults[rows], more, further)
    wear = np.repeat(found.wear[:, None], effect.shape[1], axis=1)
    wear[:, worn] += effect[:, worn]
    if len(options.old):
        given = _given_back(options, found, further)[:, None]
        effect[:, options.old] += given
        wear[:, options.old] += given
    return effect, wear


def _given_back(options: OptionTable, found: Contributions, further: float) -> Array:
    """What an answer that says old would give back of the wear that was seen, shape (n,)."""
    at_age = options.old_wear.excused(found.faults)
    now, then = (each * fault_shares(each, further) for each in (found.faults, at_age))
    return np.asarray((then - now).sum(axis=1))


def _chances(options: OptionTable, found: Contributions) -> Array:
    """How likely each option is, given the make so far, shape (n, options)."""
    chance = np.tile(options.share, (len(found.make), 1))
    tells = options.tells
    if len(tells.starts):
        chance[:, tells.at] = chances_given(
            tells.score,
            options.share[tells.at],
            tells.loading,
            found.make,
            found.precision,
            tells.starts,
        )
    return chance


def _open(options: OptionTable, codes: npt.NDArray[np.int16]) -> npt.NDArray[np.bool_]:
    """Signals not yet looked at and, where they depend on another, asked for."""
    still = codes == UNKNOWN
    for column, other, asking in options.asked_after:
        still[:, column] &= np.isin(codes[:, other], asking)
    return np.asarray(still)
