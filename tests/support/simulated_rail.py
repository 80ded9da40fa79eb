"""A simulated rail: items that sell by a known truth, whatever a plan believes."""

from dataclasses import dataclass

import numpy as np

from resale.pricing.valuation.shop_terms import ShopTerms
from resale.selling.markdown.demand import learn_demand
from resale.selling.markdown.demand_opinion import DemandOpinion
from resale.selling.markdown.exposure import PricePeriods
from resale.selling.markdown.outlook import Goods
from resale.selling.markdown.plan import by_habit
from resale.selling.markdown.terms import SellingTerms

KINDS = ("a", "b", "c", "d", "e")
# Slow kinds and quick ones, some more sensitive to price than others: an invented shop.
RATE = np.array([0.010, 0.015, 0.020, 0.030, 0.040])
ELASTICITY = np.array([3.0, 2.5, 2.0, 2.5, 2.0])
# Standard deviation of the log of what buyers see in an item against its estimate.
ESTIMATE_ERROR = 0.3


@dataclass(frozen=True)
class Run:
    """What happened: period of the sale (-1 for none), days hung, and the rows to learn from."""

    sold: np.ndarray
    hung: np.ndarray
    periods: PricePeriods

    def net(self, tickets: np.ndarray, terms: SellingTerms) -> np.ndarray:
        place = np.maximum(self.sold, 0)[:, None]
        price = np.take_along_axis(tickets, place, axis=1)[:, 0]
        got = np.where(self.sold >= 0, (1 - terms.consignor_share) * price, terms.pass_on_value)
        return got - terms.rail_cost_item * self.hung


def some_goods(rng: np.random.Generator, count: int) -> tuple[Goods, np.ndarray]:
    """Items with estimates, and what buyers really see in them."""
    estimate = np.exp(rng.normal(np.log(20), 0.6, count)).round(2)
    goods = Goods(rng.integers(0, len(KINDS), count), estimate)
    return goods, estimate * np.exp(rng.normal(0, ESTIMATE_ERROR, count))


def hang(
    rng,
    goods: Goods,
    seen: np.ndarray,
    tickets: np.ndarray,
    days: float,
    fade: tuple[float, ...] = (1.0,),
) -> Run:
    """Hang items at these tickets until they sell or are passed on.

    The rate is multiplied by `fade` in one period after another; its last holds on.
    """
    needed = rng.exponential(size=len(goods))
    sold, hung, rows = np.full(len(goods), -1), np.zeros(len(goods)), []
    for period in range(tickets.shape[1]):
        asked = tickets[:, period]
        live = np.flatnonzero((sold < 0) & ~np.isnan(asked))
        kind = goods.kind[live]
        rate = RATE[kind] * (asked[live] / seen[live]) ** -ELASTICITY[kind]
        rate = rate * fade[min(period, len(fade) - 1)]
        stayed = np.minimum(needed[live] / rate, days)
        gone = needed[live] <= rate * days
        needed[live] -= rate * days
        hung[live] += stayed
        sold[live[gone]] = period
        rows.append((live, kind, asked[live] / goods.estimate[live], stayed, gone))
    return Run(
        sold, hung, PricePeriods(*(np.concatenate(part) for part in zip(*rows, strict=True)))
    )


def past_of(
    rng, count: int, terms: SellingTerms, shop: ShopTerms, fade: tuple[float, ...] = (1.0,)
) -> PricePeriods:
    """What a shop that always did as it does now has seen; tickets vary by a tenth."""
    goods, seen = some_goods(rng, count)
    before = learn_demand(PricePeriods.none(), KINDS, DemandOpinion())
    tickets = by_habit(before, goods, terms, shop).tickets
    tickets = shop.ticket(tickets * np.exp(rng.normal(0, 0.1, count))[:, None])
    return hang(rng, goods, seen, tickets, terms.period_days, fade).periods


def true_net(
    goods: Goods,
    tickets: np.ndarray,
    terms: SellingTerms,
    fade: tuple[float, ...] = (1.0,),
) -> np.ndarray:
    """Expected net of each item by the truth, over what buyers may see in it (Gauss-Hermite)."""
    node, weight = np.polynomial.hermite_e.hermegauss(15)
    seen = goods.estimate[:, None] * np.exp(ESTIMATE_ERROR * node)
    left, net = np.ones_like(seen), np.zeros_like(seen)
    for period in range(tickets.shape[1]):
        asked = np.where(np.isnan(tickets[:, period]), np.inf, tickets[:, period])[:, None]
        rate = RATE[goods.kind][:, None] * (asked / seen) ** -ELASTICITY[goods.kind][:, None]
        rate = np.maximum(rate * fade[min(period, len(fade) - 1)], 1e-300)
        gone = left * -np.expm1(-rate * terms.period_days)
        hung = np.where(np.isinf(asked), 0.0, gone / rate)
        net += gone * (1 - terms.consignor_share) * np.where(np.isinf(asked), 0.0, asked)
        net -= terms.rail_cost_item * hung
        left = left - gone
    return (net + left * terms.pass_on_value) @ weight / weight.sum()
