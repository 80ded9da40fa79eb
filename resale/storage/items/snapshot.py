"""What is shown and stored of one valuation: plain values that outlive book, model and settings.

A screen draws a saved valuation from this alone, so that what was promised to a seller last year
reads the same today.
"""

from __future__ import annotations

from math import prod

from pydantic import BaseModel, ConfigDict

from resale.pricing.valuation.explanation import Contribution, Explanation, GateMet, speaks_of


class Plain(BaseModel):
    """Values only, never changed after they are made."""

    model_config = ConfigDict(frozen=True, extra="ignore")


class Row(Plain):
    """One signal's share of the price.

    Attributes
    ----------
    signal : str
        Id of the signal; empty for the maker's label.
    rule_factor, sales_factor : float
        The rule book's part and what the sales changed, to four decimals.
    rule_money, sales_money : int
        The same in minor units.
    speaks_of : str
        ``make`` or ``wear`` where other signs speak of the same; else empty.
    alone_factor, alone_money : float, int
        What the sign would say if it were all that is known, at this price.
    beside : int
        How many other signs that speak of the same were looked at.
    """

    signal: str
    name: str
    option: str
    reason: str
    rule_factor: float
    sales_factor: float
    rule_money: int
    sales_money: int
    speaks_of: str = ""
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


class TierChance(Plain):
    """How likely the sale lands in a tier, given the band."""

    id: str
    name: str
    chance: float


class GateLine(Plain):
    """A rule of the book that this item met, with what to be careful of."""

    signal: str
    name: str
    option: str
    reason: str
    tier_cap: str | None
    route: str | None
    caution: str | None


class Valued(Plain):
    """One valuation. Money in minor units of the currency.

    Attributes
    ----------
    tier_place : int
        Place of the tier on its ladder, 0 for the best.
    high : int
        Upper end of the band; -1 where it has none.
    make, make_doubt : float
        Standard deviations above the average of the kind by which it is made, and the doubt.
    make_looked, make_tells : int
        Signs of make looked at, and how many the kind has.
    make_factor : float
        Product of their factors.
    sold, all_sold : int
        Past sales of this kind and of all kinds that the model rests on.
    own_band : bool
        Whether the band rests on this kind alone.
    """

    currency: str
    decimals: int
    kind: str
    kind_name: str
    kind_plural: str
    label: str
    anchor: int
    level_factor: float
    level_money: int
    rows: tuple[Row, ...]
    estimate: int
    low: int
    high: int
    mean: int
    ticket: int
    coverage: float
    standing: float
    tier: str
    tier_name: str
    tier_meaning: str
    tier_place: int
    chances: tuple[TierChance, ...]
    route: str
    gates: tuple[GateLine, ...]
    below_least_ticket: bool
    least_ticket: int
    sold: int
    own_band: bool
    all_sold: int
    looked: int
    make: float = 0.0
    make_doubt: float = 1.0
    make_looked: int = 0
    make_tells: int = 0
    make_factor: float = 1.0

    def factors(self) -> list[tuple[str, float]]:
        """Every factor of the product in order; factors of exactly 1 left out."""
        shown = [("What your sales say of this kind", self.level_factor)]
        for row in self.rows:
            words = f"{row.name}: {row.option}" if row.option else row.name
            shown.append((words, row.rule_factor))
            changed = f"{row.name}: what sales changed" if row.option else row.name
            shown.append((changed, row.sales_factor))
        return [(name, factor) for name, factor in shown if factor != 1.0]

    @property
    def product(self) -> float:
        """What the calculator shows before rounding, in major units."""
        start = self.anchor / 10**self.decimals
        return start * prod(factor for _, factor in self.factors())


def valued_from(
    explanation: Explanation,
    *,
    currency: str,
    decimals: int,
    coverage: float,
    least_ticket: float,
    tier_names: dict[str, str],
) -> Valued:
    """Keep what an explanation says, in the words of this shop."""
    tiers = [tier for tier, _ in explanation.chances]
    tier = explanation.tier
    return Valued(
        currency=currency,
        decimals=decimals,
        kind=explanation.kind.id,
        kind_name=explanation.kind.text.name,
        kind_plural=explanation.kind.text.plural,
        label=explanation.label,
        anchor=explanation.anchor,
        level_factor=explanation.level_factor,
        level_money=explanation.level_money,
        rows=tuple(_row(one) for one in explanation.contributions),
        estimate=explanation.estimate,
        low=explanation.low,
        high=explanation.high,
        mean=explanation.mean,
        ticket=explanation.ticket,
        coverage=coverage,
        standing=explanation.standing,
        tier=tier.id,
        tier_name=tier_names.get(tier.id, tier.name),
        tier_meaning=tier.meaning,
        tier_place=tiers.index(tier),
        chances=tuple(
            TierChance(id=one.id, name=tier_names.get(one.id, one.name), chance=round(chance, 4))
            for one, chance in explanation.chances
        ),
        route=explanation.route,
        gates=tuple(_gate(met) for met in explanation.gates),
        below_least_ticket=explanation.below_least_ticket,
        least_ticket=round(least_ticket * 10**decimals),
        sold=explanation.support.sold,
        own_band=explanation.support.own,
        all_sold=explanation.support.all_sold,
        looked=explanation.looked,
        make=round(explanation.make.standing, 4),
        make_doubt=round(explanation.make.doubt, 4),
        make_looked=explanation.make.looked,
        make_tells=explanation.make.tells,
        make_factor=round(explanation.make.factor, 4),
    )


def _row(one: Contribution) -> Row:
    return Row(
        signal=one.signal.id if one.signal else "",
        name=one.name,
        option=one.option,
        reason=one.reason,
        rule_factor=one.rule_factor,
        sales_factor=one.sales_factor,
        rule_money=one.rule_money,
        sales_money=one.sales_money,
        speaks_of=speaks_of(one.signal),
        alone_factor=one.alone_factor,
        alone_money=one.alone_money,
        beside=one.beside,
    )


def _gate(met: GateMet) -> GateLine:
    return GateLine(
        signal=met.signal.id,
        name=met.signal.name,
        option=met.option.name,
        reason=met.gate.reason,
        tier_cap=met.gate.tier_cap,
        route=met.gate.route,
        caution=met.signal.caution,
    )
