"""One valuation of one item: what is worked out, shown, stored, worked out again and sent.

There is one type for all of these, of plain values, so that no screen can say another thing than
the records, and what was promised to a seller last year reads the same today, whatever became of
rule book, model and settings.
"""

from __future__ import annotations

from math import prod

from pydantic import BaseModel, ConfigDict


class Plain(BaseModel):
    """Values only, never changed after they are made."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Contribution(Plain):
    """One sign's share of the price.

    Attributes
    ----------
    signal : str
        Id of the signal; empty for the maker's label, the season, the level of all prices, and
        what age gives back of the wear.
    rule_factor, sales_factor : float
        Factors on the price, to four decimals: the rule book's part, and what the sales changed.
    rule_money, sales_money : int
        The same as money, in minor units.
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


class GateMet(Plain):
    """A gate of the rule book that this item meets, with what to be careful of."""

    signal: str
    name: str
    option: str
    reason: str
    tier_cap: str | None
    route: str | None
    caution: str | None


class Valuation(Plain):
    """All that is said of one item. Money in minor units of the currency.

    Attributes
    ----------
    decimals : int
        Of the currency: minor units are this many powers of ten smaller.
    label : str
        The maker's, as the shop calls it; empty for none.
    anchor : int
        What the rule book says an average item of the kind brings.
    level_factor, level_money : float, int
        By how much the sales moved that anchor.
    estimate, mean : int
        Median and mean sale price.
    low, high : int
        Ends of the band that holds `coverage` of the sales; `high` is -1 where it has none.
    ticket : int
        The estimate, rounded as the shop writes tickets.
    standing : float
        Factor over the average of the kind.
    tier_place : int
        Place of the tier on its ladder, 0 for the best.
    sold, all_sold : int
        Past sales of this kind and of all kinds that the model rests on.
    own_band : bool
        Whether the band rests on this kind alone rather than on all kinds together.
    looked : int
        How many signs were looked at.
    make, make_doubt : float
        Standard deviations above the average of the kind by which it is made, and the doubt of
        that (1 where no sign of make was looked at).
    make_looked, make_tells : int
        Signs of make looked at, and how many the kind has.
    make_factor : float
        Product of their factors.
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
    contributions: tuple[Contribution, ...]
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
    gates: tuple[GateMet, ...]
    below_least_ticket: bool
    least_ticket: int
    sold: int
    own_band: bool
    all_sold: int
    looked: int
    make: float
    make_doubt: float
    make_looked: int
    make_tells: int
    make_factor: float

    @property
    def by_hand(self) -> bool:
        """Whether a person set the price of a thing without a kind: it has no tier and no band."""
        return not self.tier

    def factors(self) -> list[tuple[str, float]]:
        """Every factor of the product in order; factors of exactly 1 left out."""
        shown = [("What your sales say of this kind", self.level_factor)]
        for one in self.contributions:
            words = f"{one.name}: {one.option}" if one.option else one.name
            shown.append((words, one.rule_factor))
            both = one.option or one.rule_factor != 1.0
            changed = f"{one.name}: what sales changed" if both else one.name
            shown.append((changed, one.sales_factor))
        return [(name, factor) for name, factor in shown if factor != 1.0]

    @property
    def product(self) -> float:
        """What the calculator shows before rounding, in major units."""
        start = self.anchor / 10**self.decimals
        return start * prod(factor for _, factor in self.factors())
