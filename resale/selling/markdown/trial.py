"""A plan is tried against the shop's own sales, beside its habit, before it is offered.

The things that hung are cut into three parts, in order of time. What is planned from two of them is
judged by a demand that is learned from the third alone, with hardly an opinion, and not by one
curve but by many that those would allow; so each part judges what was planned without it. Only
where the plan comes ahead of the habit on nine draws of ten, and is not behind with the last part,
is it offered: what was read into the sales, or is believed without any, does not come so far.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from resale.pricing.model.columns.terms import Array
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.selling.markdown.demand import LEAST_ELASTICITY, Demand, learn_demand
from resale.selling.markdown.demand_opinion import DemandOpinion
from resale.selling.markdown.exposure import PricePeriods
from resale.selling.markdown.outlook import Goods, follow
from resale.selling.markdown.plan import Comparison, compare
from resale.selling.markdown.terms import SellingTerms

PARTS = 3
# With fewer things in a part, the opinion would judge itself.
FEWEST = 40
CURVES = 64
# The judge's doubts, in doubts of the opinion: buyers twice as touchy about a price as is believed
# must not be judged by that belief.
DOUBTING = 4.0
# Part of the curves on which the plan may fall behind.
AT_RISK = 0.1
# Things of the stock that are planned for the trial; more would say the same.
MOST_GOODS = 100
SEED = 20261128


@dataclass(frozen=True)
class Trial:
    """How the plan did against the last sales.

    Attributes
    ----------
    things : int
        How many it was judged by; 0 where there are too few.
    gain, low, high : float
        Share by which it beats the habit: mean over the curves, and their middle four fifths.
    last : float
        The same mean by the last part alone: buyers may have changed.
    """

    things: int
    gain: float
    low: float
    high: float
    last: float

    @property
    def beats(self) -> bool:
        """Whether the plan may be offered: it came ahead, and not by luck."""
        return self.low > 0 and self.last >= 0

    @property
    def verdict(self) -> str:
        """How it did, in words."""
        if not self.things:
            return (
                "Too few things have hung to try a plan against your own sales: tickets and "
                "marks follow your habit until then."
            )
        span = f"({100 * self.low:+.0f} to {100 * self.high:+.0f} %)"
        if self.beats:
            return (
                f"Tried against your last {self.things:,} things on the rail, a plan like this "
                f"is {100 * self.gain:+.0f} % beside your habit {span}."
            )
        if min(self.gain, self.last) >= 0:
            return (
                f"Tried against your last {self.things:,} things on the rail, a plan like this "
                f"is not surely ahead of your habit {span}: your habit is shown instead."
            )
        behind = -100 * min(self.gain, self.last)
        return (
            f"Tried against your last {self.things:,} things on the rail, a plan like this falls "
            f"behind your habit by {behind:.0f} %: your habit is shown instead."
        )

    def offered(self, compared: Comparison) -> Comparison:
        """Give what may be offered: the plan, or the habit in its place."""
        return compared if self.beats else replace(compared, plan=compared.habit)


UNTRIED = Trial(0, 0.0, 0.0, 0.0, 0.0)


def enough_hung(periods: PricePeriods) -> bool:
    """Whether so many things hung that a plan can be tried at all."""
    return len(np.unique(periods.item)) >= PARTS * FEWEST


def try_plan(
    periods: PricePeriods,
    kinds: Sequence[str],
    goods: Goods,
    terms: SellingTerms,
    shop: ShopTerms,
    opinion: DemandOpinion | None = None,
) -> Trial:
    """Plan from two thirds of the things, judge by the other third, each in turn.

    Parameters
    ----------
    periods : PricePeriods
        Items numbered in the order in which they came.
    kinds : sequence of str
    goods : Goods
        What is to be planned.
    terms : SellingTerms
    shop : ShopTerms
    opinion : DemandOpinion, optional

    Returns
    -------
    Trial
    """
    if not enough_hung(periods) or not len(goods):
        return UNTRIED
    parts = np.array_split(np.unique(periods.item), PARTS)
    some = goods.rows(slice(None, None, -(-len(goods) // MOST_GOODS)))
    judge_opinion = _doubting(opinion or DemandOpinion())
    gains = np.empty((PARTS, CURVES))
    for place, part in enumerate(parts):
        judged = np.isin(periods.item, part)
        planner = learn_demand(periods.rows(~judged), kinds, opinion)
        judge = learn_demand(periods.rows(judged), kinds, judge_opinion)
        both = compare(planner, some, terms, shop)
        gains[place] = [
            follow(curve, some, both.plan.tickets, terms).shop.sum()
            / follow(curve, some, both.habit.tickets, terms).shop.sum()
            - 1
            for curve in curves_of(judge, CURVES, SEED + place)
        ]
    mean = gains.mean(axis=0)
    low, high = np.quantile(mean, [AT_RISK, 1 - AT_RISK])
    things = sum(map(len, parts))
    return Trial(things, float(mean.mean()), float(low), float(high), float(gains[-1].mean()))


def _doubting(opinion: DemandOpinion) -> DemandOpinion:
    """Doubt every part of an opinion so much more."""
    doubts = [name for name in vars(opinion) if name.endswith("_doubt")]
    return replace(opinion, **{name: DOUBTING * getattr(opinion, name) for name in doubts})


def curves_of(demand: Demand, count: int, seed: int = SEED) -> Iterator[Demand]:
    """Draw demands that what was seen would allow, always the same ones.

    Parameters
    ----------
    demand : Demand
    count : int
    seed : int

    Returns
    -------
    iterator of Demand
    """
    kinds = len(demand.kinds)
    middle: Array = np.concatenate(
        [demand.log_rate, demand.elasticity, demand.ageing, [np.log(demand.unevenness)]]
    )
    draw = np.random.default_rng(seed).multivariate_normal
    for at in draw(middle, demand.covariance, count, method="svd"):
        yield replace(
            demand,
            log_rate=at[:kinds],
            elasticity=np.maximum(at[kinds : 2 * kinds], LEAST_ELASTICITY),
            ageing=at[2 * kinds : -1],
            unevenness=float(np.exp(at[-1])),
        )
