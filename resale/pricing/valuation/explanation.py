"""Why an item is valued as it is, in a form that a screen, a ticket or a file can show."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace

import numpy as np

from resale.garments.rulebook.readings import NOT_LOOKED_AT, Readings
from resale.garments.rulebook.rule_book import Kind
from resale.garments.rulebook.schema import Tier
from resale.garments.rulebook.signals import Gate, Option, Signal
from resale.pricing.valuation.lmdi import Minor
from resale.pricing.valuation.next_check import Check, next_checks
from resale.pricing.valuation.price_tables import FACTOR_DECIMALS
from resale.pricing.valuation.tiers import ROUTES
from resale.pricing.valuation.valuer import Valuations, Valuer

NAMES = ("Label", "Season")
REASONS = (
    "What this maker's things brought in this shop.",
    "What such things brought in these months here.",
)
SINCE, WHY_SINCE = (
    "Prices since a year ago",
    "What all things together brought more or less by now.",
)


@dataclass(frozen=True)
class Contribution:
    """One signal's share of the price.

    Attributes
    ----------
    signal : Signal or None
        None for the maker's label, the season, and the level of all prices.
    rule_factor, sales_factor : float
        Factors on the price: the rule book's part, and what the sales changed.
    rule_money, sales_money : int
        The same as money, in minor units.
    alone_factor : float
        Factor where this sign is all one knows: for a tell of make, or a sign of wear.
    alone_money : int
        What that would be at this price, in minor units.
    beside : int
        How many other signs of the same (make, or wear) were looked at.
    """

    signal: Signal | None
    name: str
    option: str
    reason: str
    rule_factor: float
    sales_factor: float
    rule_money: int
    sales_money: int
    alone_factor: float = 1.0
    alone_money: int = 0
    beside: int = 0

    @property
    def factor(self) -> float:
        """Both parts together."""
        return self.rule_factor * self.sales_factor

    @property
    def money(self) -> int:
        """Both parts together, in minor units."""
        return self.rule_money + self.sales_money


@dataclass(frozen=True)
class Make:
    """How well the whole thing is made, as far as its tells say.

    Attributes
    ----------
    standing : float
        Standard deviations above the average of the kind.
    doubt : float
        Standard deviation of that; 1 where no tell was looked at.
    looked, tells : int
        Tells looked at, and how many the kind has.
    factor : float
        Product of the factors of all tells looked at.
    """

    standing: float
    doubt: float
    looked: int
    tells: int
    factor: float


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
    make: Make
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
    drift = valuer.model.drift
    return Explanation(
        kind,
        alone.labels[0],
        _minor(now.anchor[0], unit),
        _factor(now.level[0] - drift),
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
        _make(kind, contributions, now),
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
    """Contributions of the signals looked at, in the order of the hand, then what is no signal."""
    level, rules, sales = now.in_minor_units
    place = {signal_id: column for column, signal_id in enumerate(valuer.book.signal_ids)}
    alone = valuer.model.tables[kind.id].alone
    seen = [s for s in kind.signals if readings.codes[0, place[s.id]] != NOT_LOOKED_AT]
    speaking = Counter(map(speaks_of, seen))
    rows = []
    for at, signal in enumerate(kind.signals):
        code = readings.codes[0, place[signal.id]]
        if code == NOT_LOOKED_AT:
            continue
        column = place[signal.id]
        option = signal.options[code]
        start = valuer.model.tables[kind.id].starts[at]
        by_itself = float(alone[0][start + code] + alone[1][start + code])
        one = _contribution(now, rules, sales, column, signal, signal.name, option.name)
        beside = speaking[speaks_of(signal)] - 1
        rows.append(_beside(replace(one, reason=option.reason), by_itself, beside, signal))
    words = (readings.labels, readings.seasons)
    for column, (name, said, reason) in enumerate(zip(NAMES, words, REASONS, strict=True)):
        if said and said[0] in valuer.model.extras[column]:
            one = _contribution(now, rules, sales, len(place) + column, None, name, said[0])
            rows.append(replace(one, reason=reason))
    kind_level, since = _level_in_two(int(level[0]), float(now.level[0]), valuer.model.drift)
    if valuer.model.drift:
        factor = _factor(valuer.model.drift)
        rows.append(Contribution(None, SINCE, "", WHY_SINCE, 1.0, factor, 0, since))
    return kind_level, tuple(rows)


def _contribution(
    now: Valuations,
    rules: Minor,
    sales: Minor,
    column: int,
    signal: Signal | None,
    name: str,
    option: str,
) -> Contribution:
    return Contribution(
        signal,
        name,
        option,
        "",
        _factor(now.rules[0, column]),
        _factor(now.sales[0, column]),
        int(rules[0, column]),
        int(sales[0, column]),
    )


def speaks_of(signal: Signal | None) -> str:
    """What several signs may speak of together: make or wear; empty for a worth of its own."""
    if signal is None:
        return ""
    if signal.counts == "tell":
        return "make"
    return "wear" if signal.about == "wear" else ""


def _beside(one: Contribution, alone: float, beside: int, signal: Signal) -> Contribution:
    """Add what the sign would say alone, in money at the price that the item has."""
    if not speaks_of(signal):
        return one
    log = float(np.log(one.factor))
    money = round(one.money * alone / log) if abs(log) > 1e-4 else one.money
    return replace(one, alone_factor=_factor(alone), alone_money=money, beside=beside)


def _level_in_two(money: int, level: float, drift: float) -> tuple[int, int]:
    """Minor units of the kind's own level, and of what all prices did since a year ago."""
    since = round(money * drift / level) if drift and level else 0
    return money - since, since


def _make(kind: Kind, rows: tuple[Contribution, ...], now: Valuations) -> Make:
    tells = [one for one in rows if one.signal and one.signal.counts == "tell"]
    every = sum(signal.counts == "tell" for signal in kind.signals)
    return Make(
        float(now.make[0]),
        float(now.precision[0] ** -0.5),
        len(tells),
        every if kind.text.make else 0,
        float(np.prod([one.factor for one in tells])),
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
