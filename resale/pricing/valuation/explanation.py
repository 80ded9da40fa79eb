"""Why an item is valued as it is, in a form that a screen, a ticket or a file can show."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from resale.garments.rulebook.readings import NOT_LOOKED_AT, Readings
from resale.garments.rulebook.rule_book import Kind
from resale.garments.rulebook.schema import Tier
from resale.garments.rulebook.signals import Gate, Option, Signal
from resale.pricing.valuation.next_check import Check, next_checks
from resale.pricing.valuation.price_tables import FACTOR_DECIMALS
from resale.pricing.valuation.tiers import ROUTES
from resale.pricing.valuation.valuer import Valuations, Valuer


@dataclass(frozen=True)
class Contribution:
    """One signal's share of the price.

    Attributes
    ----------
    signal : Signal or None
        None for the maker's label and the season.
    rule_factor, sales_factor : float
        Factors on the price: the rule book's part, and what the sales changed.
    rule_money, sales_money : int
        The same as money, in minor units.
    """

    signal: Signal | None
    name: str
    option: str
    reason: str
    rule_factor: float
    sales_factor: float
    rule_money: int
    sales_money: int

    @property
    def factor(self) -> float:
        """Both parts together."""
        return self.rule_factor * self.sales_factor

    @property
    def money(self) -> int:
        """Both parts together, in minor units."""
        return self.rule_money + self.sales_money


@dataclass(frozen=True)
class GateMet:
    """A gate that this item meets, and the option that meets it."""

    signal: Signal
    option: Option
    gate: Gate


@dataclass(frozen=True)
class Support:
    """What the band rests on.

    Attributes
    ----------
    sold : int
        Past sales of this kind.
    own : bool
        Whether the band rests on this kind alone rather than on all kinds together.
    all_sold : int
    """

    sold: int
    own: bool
    all_sold: int


@dataclass(frozen=True)
class Explanation:
    """All that is said of one item. Money in minor units of the shop's currency."""

    kind: Kind
    label: str
    anchor: int
    level_factor: float
    level_money: int
    contributions: tuple[Contribution, ...]
    estimate: int
    low: int
    high: int
    mean: int
    ticket: int
    standing: float
    tier: Tier
    chances: tuple[tuple[Tier, float], ...]
    route: str
    gates: tuple[GateMet, ...]
    below_least_ticket: bool
    support: Support
    looked: int
    checks: tuple[Check, ...]

    @property
    def next_check(self) -> Check | None:
        """The best check that is worth the sorter's time, or None: stop."""
        best = self.checks[0] if self.checks else None
        return best if best and best.worth_it else None

    def factors(self) -> list[tuple[str, float]]:
        """Every factor of the product in order, for the working; factors of exactly 1 left out."""
        shown = [("sales of this kind", self.level_factor)]
        for one in self.contributions:
            shown += [(f"{one.name}: {one.option}", one.rule_factor)]
            shown += [(f"{one.name}: what sales changed", one.sales_factor)]
        return [(name, factor) for name, factor in shown if factor != 1.0]


def explain(
    valuer: Valuer, readings: Readings, valuations: Valuations | None = None, row: int = 0
) -> Explanation:
    """Explain one item of a batch, with what to look at next.

    Parameters
    ----------
    readings : Readings
    valuations : Valuations, optional
        What the valuer said of these readings; valued here where omitted.
    row : int
        Which item.
    """
    alone = readings.row(row)
    now = valuer.value(alone) if valuations is None or len(readings) > 1 else valuations
    kind = tuple(valuer.book.kinds.values())[alone.kinds[0]]
    unit = 10**now.decimals
    tiers = valuer.book.book.tiers
    price = float(now.estimate[0])
    level_money, contributions = _contributions(valuer, alone, now, kind)
    return Explanation(
        kind,
        alone.labels[0],
        _minor(now.anchor[0], unit),
        _factor(now.level[0]),
        level_money,
        contributions,
        _minor(price, unit),
        _minor(now.low[0], unit),
        _minor(now.high[0], unit),
        _minor(now.mean[0], unit),
        _minor(now.ticket[0], unit),
        float(np.exp(now.standing[0])),
        tiers[now.tier[0]],
        tuple(zip(tiers, now.chances[0].tolist(), strict=True)),
        ROUTES[now.route[0]],
        _gates_met(kind, alone, valuer),
        bool(now.route[0] > now.gate_route[0]),
        _support(valuer, int(alone.kinds[0])),
        int(now.looked[0]),
        tuple(next_checks(valuer, alone, now)),
    )


def _minor(amount: float, unit: int) -> int:
    """Amount in minor units; a band without an end stays endless as -1."""
    return round(amount * unit) if np.isfinite(amount) else -1


def _factor(log: float) -> float:
    return round(float(np.exp(log)), FACTOR_DECIMALS)


def _contributions(
    valuer: Valuer, readings: Readings, now: Valuations, kind: Kind
) -> tuple[int, tuple[Contribution, ...]]:
    """Contributions of the signals looked at, in the order of the hand, then label and season."""
    level, rules, sales = now.in_minor_units
    place = {signal_id: column for column, signal_id in enumerate(valuer.book.signal_ids)}
    rows: list[tuple[Signal | None, str, str, str, int]] = []
    for signal in kind.signals:
        column = place[signal.id]
        code = readings.codes[0, column]
        if code == NOT_LOOKED_AT:
            continue
        option = signal.options[code]
        rows.append((signal, signal.name, option.name, option.reason, column))
    rows += [
        (None, name, words[0], reason, len(place) + column)
        for column, (name, words, reason) in enumerate(
            [
                ("Label", readings.labels, "What this maker's things brought in this shop."),
                ("Season", readings.seasons, "What such things brought in these months here."),
            ]
        )
        if words and words[0] in valuer.model.extras[column]
    ]
    return int(level[0]), tuple(
        Contribution(
            signal,
            name,
            option_name,
            reason,
            _factor(now.rules[0, column]),
            _factor(now.sales[0, column]),
            int(rules[0, column]),
            int(sales[0, column]),
        )
        for signal, name, option_name, reason, column in rows
    )


def _gates_met(kind: Kind, readings: Readings, valuer: Valuer) -> tuple[GateMet, ...]:
    met = []
    for signal_id, option_id in readings.choices(valuer.book, 0).items():
        option = kind.by_id[signal_id].option(option_id)
        if option.gate:
            met.append(GateMet(kind.by_id[signal_id], option, option.gate))
    return tuple(met)


def _support(valuer: Valuer, place: int) -> Support:
    scores = valuer.model.scores
    return Support(
        scores.counts.get(place, 0), scores.rests_on_group(place), int(valuer.model.sales)
    )
