"""The plan against the last sales: a plan that holds, one that does not, and too few to say."""

from __future__ import annotations

import numpy as np
import pytest
import simulated_rail
from simulated_rail import KINDS, past_of, some_goods

from resale.pricing.valuation.shop_terms import ShopTerms
from resale.selling.markdown.demand import learn_demand
from resale.selling.markdown.exposure import PricePeriods
from resale.selling.markdown.plan import compare
from resale.selling.markdown.terms import SellingTerms
from resale.selling.markdown.trial import UNTRIED, curves_of, try_plan

SHOP, TERMS = ShopTerms(), SellingTerms()
TOUCHY = simulated_rail.ELASTICITY
GOODS, _ = some_goods(np.random.default_rng(99), 60)


def hung(elasticity: float, rate: float, items: range, seed: int) -> PricePeriods:
    """Things of one kind at scattered tickets, three fortnights at most."""
    rng, rows = np.random.default_rng(seed), []
    for item in items:
        ratio = rng.uniform(0.7, 1.4)
        for period in range(3):
            needed = rng.exponential() / (rate * ratio**-elasticity)
            rows.append((item, 0, ratio, min(needed, 14.0), needed <= 14, 14.0 * period))
            if needed <= 14:
                break
            ratio *= 0.75
    item, kind, ratio, days, sold, age = (np.array(column) for column in zip(*rows, strict=True))
    return PricePeriods(item, kind, ratio, days, sold, age=age)


def joined(first: PricePeriods, second: PricePeriods) -> PricePeriods:
    names = ("item", "kind", "ratio", "days", "sold")
    both = [np.concatenate([getattr(first, name), getattr(second, name)]) for name in names]
    return PricePeriods(*both, age=np.concatenate([first.ages, second.ages]))


def test_a_plan_that_the_last_sales_bear_out_may_be_offered() -> None:
    found = try_plan(past_of(np.random.default_rng(2), 900, TERMS, SHOP), KINDS, GOODS, TERMS, SHOP)
    assert found.things == 900
    assert found.beats
    assert 0 < found.low < found.gain < found.high
    assert "last 900 things" in found.verdict


def test_a_plan_that_the_last_sales_contradict_is_not_and_says_so() -> None:
    """Patient buyers at first, then buyers who leave whatever is dear: high tickets lose."""
    past = joined(hung(0.3, 0.05, range(660), 1), hung(5.0, 0.01, range(660, 1000), 2))
    found = try_plan(past, KINDS, GOODS, TERMS, SHOP)
    assert not found.beats
    assert "your habit is shown instead" in found.verdict


def test_a_plan_that_only_an_opinion_bears_out_is_not_offered() -> None:
    """Buyers far touchier about a price than is believed, and sales that slow: a hundred and fifty
    things cannot tell, and the opinion must not. By the truth this plan loses."""
    simulated_rail.ELASTICITY = 1.6 * TOUCHY
    try:
        past = past_of(np.random.default_rng(1), 150, TERMS, SHOP, (1.5, 0.7))
    finally:
        simulated_rail.ELASTICITY = TOUCHY
    found = try_plan(past, KINDS, GOODS, TERMS, SHOP)
    assert not found.beats
    compared = compare(learn_demand(past, KINDS), GOODS, TERMS, SHOP)
    assert compared.gain_share > 0
    assert found.offered(compared).plan is compared.habit


@pytest.mark.parametrize("items", [0, 100])
def test_too_few_things_say_that_nothing_was_tried(items: int) -> None:
    past = hung(2.5, 0.02, range(items), 3) if items else PricePeriods.none()
    assert try_plan(past, KINDS, GOODS, TERMS, SHOP) == UNTRIED
    assert "Too few" in UNTRIED.verdict
    assert not UNTRIED.beats


def test_drawn_curves_scatter_as_the_doubt_says() -> None:
    """Means and spreads of 4,000 draws; four standard errors."""
    demand = learn_demand(hung(2.5, 0.02, range(200), 4), KINDS)
    drawn = np.array([curve.log_rate for curve in curves_of(demand, 4000)])
    spread = np.sqrt(np.diag(demand.covariance)[: len(KINDS)])
    assert drawn.mean(axis=0) == pytest.approx(demand.log_rate, abs=float(4 * spread.max() / 63))
    assert drawn.std(axis=0) == pytest.approx(spread, rel=4 / 89)
