"""The sale rate: published rates, a second program, recovery of a known truth, no data at all."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import gamma
from simulated_rail import KINDS, past_of

from resale.errors import ReadingError
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.selling.markdown.ageing import EDGES, age_reaching, outlived
from resale.selling.markdown.demand import LEAST_ELASTICITY, first_tickets_tried, learn_demand
from resale.selling.markdown.demand_opinion import DemandOpinion
from resale.selling.markdown.exposure import PricePeriods
from resale.selling.markdown.frailty import stays, waits
from resale.selling.markdown.terms import SellingTerms

# So wide an opinion says nothing: what is left is the likelihood.
NO_OPINION = DemandOpinion(
    rate_doubt=1e3,
    elasticity_doubt=1e3,
    kind_rate_doubt=1e3,
    kind_elasticity_doubt=1e3,
    slowing_doubt=0.0,
    age_step=0.0,
    unevenness=0.0,
    unevenness_doubt=0.0,
)
SIX_MP = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+"
PLACEBO = "1 1 2 2 3 4 4 5 5 8 8 8 8 11 11 12 12 15 17 22 23"


def shop(seed, items, log_rate, elasticity, unevenness=0.0) -> PricePeriods:
    """Items hang four fortnights at falling random prices and sell at the true rate."""
    rng = np.random.default_rng(seed)
    rows = []
    for item in range(items):
        kind = item % len(log_rate)
        ratio = rng.uniform(0.8, 1.6)
        own = rng.gamma(1 / unevenness, unevenness) if unevenness else 1.0
        for _ in range(4):
            rate = own * np.exp(log_rate[kind] - elasticity[kind] * np.log(ratio))
            waits = rng.exponential(1 / rate)
            rows.append((item, kind, ratio, min(waits, 14.0), waits <= 14))
            if waits <= 14:
                break
            ratio *= rng.uniform(0.7, 1.0)
    return PricePeriods(*(np.array(column) for column in zip(*rows, strict=True)))


def test_published_exponential_rates():
    """Freireich et al. 1963: 9 events in 359 weeks (0.02507) and 21 in 182 (0.11538), ratio
    4.603. At one price throughout, the rate is events over time."""
    days, sold, kind = [], [], []
    for place, text in enumerate([SIX_MP, PLACEBO]):
        for word in text.split():
            days.append(float(word.rstrip("+")))
            sold.append(not word.endswith("+"))
            kind.append(place)
    seen = PricePeriods(
        np.arange(len(kind)), np.array(kind), np.ones(len(days)), np.array(days), np.array(sold)
    )
    demand = learn_demand(seen, ["treated", "control"], NO_OPINION)
    rates = demand.rate(np.array([0, 1]), 1.0)
    assert rates == pytest.approx([0.02507, 0.11538], abs=5e-6)
    assert rates[1] / rates[0] == pytest.approx(4.603, abs=5e-4)
    assert demand.sold.tolist() == [9, 21]
    assert demand.days.tolist() == [359, 182]


def test_without_opinion_it_agrees_with_a_poisson_regression_with_offset():
    seen = shop(1, 900, np.log([0.012, 0.02, 0.03]), np.array([2.0, 2.5, 3.5]))
    demand = learn_demand(seen, ["a", "b", "c"], NO_OPINION)
    for kind in range(3):
        rows = seen.kind == kind
        theirs = sm.GLM(
            seen.sold[rows].astype(float),
            np.column_stack([np.ones(rows.sum()), -np.log(seen.ratio[rows])]),
            family=sm.families.Poisson(),
            offset=np.log(seen.days[rows]),
        ).fit(tol=1e-12)
        assert [demand.log_rate[kind], demand.elasticity[kind]] == pytest.approx(
            theirs.params, abs=1e-6
        )
        own = np.ix_([kind, 3 + kind], [kind, 3 + kind])
        assert demand.covariance[own] == pytest.approx(theirs.cov_params(), rel=1e-4)


def test_items_of_one_stretch_agree_with_a_negative_binomial_regression():
    """With one row an item, a gamma factor on its rate makes the count negative binomial, whose
    spread is our unevenness; statsmodels maximises the same likelihood by another road."""
    rng = np.random.default_rng(7)
    count = 4000
    ratio, most = rng.uniform(0.5, 1.6, count), rng.uniform(5, 150, count)
    rate = rng.gamma(1 / 0.8, 0.8, count) * 0.015 * ratio**-2.5
    needed = rng.exponential(size=count) / rate
    days, sold = np.minimum(needed, most), needed <= most
    seen = PricePeriods(np.arange(count), np.zeros(count, int), ratio, days, sold)
    wide = replace(NO_OPINION, unevenness=0.6, unevenness_doubt=1e3)
    demand = learn_demand(seen, ["a"], wide)
    theirs = sm.NegativeBinomial(
        sold.astype(float), np.column_stack([np.ones(count), -np.log(ratio)]), exposure=days
    ).fit(method="bfgs", start_params=[-4.0, 2.0, 0.6], disp=0, gtol=1e-9, maxiter=500)
    ours = [demand.log_rate[0], demand.elasticity[0], demand.unevenness]
    # Their climb ends within 0.0001; the opinion of width 1,000 moves ours by far less.
    assert ours == pytest.approx(theirs.params, abs=1e-4)
    # They state the doubt of the spread itself, we that of its log.
    assert np.sqrt(np.diag(demand.covariance))[[0, 1, -1]] == pytest.approx(
        theirs.bse / [1, 1, demand.unevenness], rel=1e-2
    )


def test_the_chance_and_the_days_agree_with_summing_over_many_items():
    """Gamma factors on a fine net of quantiles; the midpoint rule over 20,000 of them is good to
    four digits."""
    demand = learn_demand(PricePeriods.none(), ["a"], DemandOpinion(unevenness=0.7))
    own = gamma.ppf((np.arange(20_000) + 0.5) / 20_000, 1 / 0.7, scale=0.7)
    rate, before, days = 0.03, 0.5, 14.0
    left = np.exp(-own * before)
    sold = left * -np.expm1(-own * rate * days)
    assert demand.chance(rate, days, before) == pytest.approx(sold.sum() / left.sum(), rel=1e-4)
    hung = left * -np.expm1(-own * rate * days) / (own * rate)
    assert demand.hangs(rate, days, before) == pytest.approx(hung.sum() / left.sum(), rel=1e-4)


@pytest.mark.parametrize("unevenness", [0.0, 1e-6, 0.5, 1.0, 1.0 + 1e-9, 3.0])
def test_expected_days_are_the_sum_of_the_days_still_unsold(unevenness):
    day = (np.arange(20_000) + 0.5) * 14 / 20_000
    summed = stays(0.05 * day, 0.3, unevenness).mean() * 14
    assert waits(np.array(0.05), 14.0, 0.3, unevenness) == pytest.approx(summed, rel=1e-7)


def test_weights_count_as_repeated_items():
    seen = shop(2, 60, np.log([0.02]), np.array([2.5]))
    weight = np.random.default_rng(0).integers(1, 4, 60)[seen.item]
    often = [
        np.repeat(part, weight) for part in (seen.item, seen.kind, seen.ratio, seen.days, seen.sold)
    ]
    again = np.concatenate([np.arange(times) for times in weight])
    often[0] = often[0] * 4 + again
    parts = (seen.item, seen.kind, seen.ratio, seen.days, seen.sold)
    weighted = learn_demand(PricePeriods(*parts, weight.astype(float)), ["a"])
    repeated = learn_demand(PricePeriods(*often), ["a"])
    assert weighted.log_rate == pytest.approx(repeated.log_rate, abs=1e-8)
    assert weighted.elasticity == pytest.approx(repeated.elasticity, abs=1e-8)
    assert weighted.unevenness == pytest.approx(repeated.unevenness, abs=1e-8)


def test_taking_items_for_alike_hides_what_a_mark_does():
    """Truth: elasticity 2.5 and unevenness 0.8. Only the fit that knows of the second finds the
    first."""
    seen = shop(8, 4000, np.log([0.015]), np.array([2.5]), unevenness=0.8)
    alike = learn_demand(seen, ["a"], replace(DemandOpinion(), unevenness=0, unevenness_doubt=0))
    knowing = learn_demand(seen, ["a"])
    assert alike.elasticity[0] < 2.2
    doubt = np.sqrt(np.diag(knowing.covariance))
    assert knowing.elasticity[0] == pytest.approx(2.5, abs=2 * doubt[1])
    assert np.log(knowing.unevenness / 0.8) == pytest.approx(0, abs=3 * doubt[-1])


def test_effects_of_age_agree_with_a_poisson_regression_on_classes_of_age():
    """statsmodels on rows cut by hand at the same ages; the wide opinion moves ours by little."""
    seen = shop(12, 3000, np.log([0.02]), np.array([2.5]))
    wide = replace(NO_OPINION, slowing_doubt=1e2, age_step=1e2, rate_doubt=0.0, kind_rate_doubt=0.1)
    demand = learn_demand(seen, ["a"], wide)
    cuts, rows = [0, 7, 14, 28, 42, 56], []
    for start, days, sold, ratio in zip(seen.ages, seen.days, seen.sold, seen.ratio, strict=True):
        for place, (low, high) in enumerate(pairwise(cuts)):
            inside = min(start + days, high) - max(start, low)
            if inside > 1e-12:
                rows.append((place, inside, sold and start + days <= high, ratio))
    place, inside, sold, ratio = (np.array(column) for column in zip(*rows, strict=True))
    design = np.column_stack([*(place == each for each in range(5)), -np.log(ratio)])
    theirs = sm.GLM(
        sold.astype(float), design.astype(float), sm.families.Poisson(), offset=np.log(inside)
    ).fit(tol=1e-12)
    ours = np.append(demand.log_rate[0] + demand.ageing[:5], demand.elasticity[0])
    assert ours == pytest.approx(theirs.params, abs=2e-3)


@pytest.mark.parametrize(("early", "late"), [(2.0, 0.5), (1.5, 0.7), (1.0, 1.0)])
def test_age_is_not_read_as_patience(early, late):
    """Rates fall after a fortnight, and marks follow time: without an effect of age the fit
    believes that marks do little. Truth 2.4 on average over five kinds."""
    fade = (early, late)
    seen = past_of(np.random.default_rng(3), 3000, SellingTerms(), ShopTerms(), fade)
    knowing = learn_demand(seen, KINDS)
    blind = learn_demand(seen, KINDS, DemandOpinion(slowing_doubt=0.0, age_step=0.0))
    assert knowing.elasticity.mean() == pytest.approx(2.4, abs=0.4)
    fell = knowing.ageing[2:5].mean() - knowing.ageing[:2].mean()
    assert fell == pytest.approx(np.log(late / early), abs=0.3)
    if early > 1:
        assert blind.elasticity.mean() < knowing.elasticity.mean() - 0.2


def test_a_rate_that_falls_with_age_makes_the_hazard_of_its_days():
    """Derived: the sum over 200,000 small steps of the factor of each class."""
    demand = learn_demand(PricePeriods.none(), ["a"], DemandOpinion(slowing=0.7))
    step = 400 / 200_000
    age = (np.arange(200_000) + 0.5) * step
    factor = np.exp(demand.ageing[np.searchsorted(EDGES, age, side="right") - 1])
    assert demand.aged(0.0, 400.0) == pytest.approx(factor.mean(), rel=1e-4)
    part = (age > 20) & (age < 75)
    assert demand.aged(20.0, 55.0) == pytest.approx(factor[part].mean(), rel=1e-3)
    for days in (3.0, 40.0, 900.0):
        hazard = float(outlived(demand.ageing, np.array(days)))
        assert age_reaching(demand.ageing, hazard) == pytest.approx(days)


def test_stretches_follow_one_another_unless_ages_are_given():
    seen = PricePeriods(
        np.array([7, 3, 7, 3]),
        np.zeros(4, int),
        np.ones(4),
        np.array([5.0, 2.0, 9.0, 4.0]),
        np.array([False, False, True, True]),
    )
    assert seen.ages.tolist() == [0, 0, 5, 2]
    assert seen.rows(np.array([False, False, True, True])).ages.tolist() == [5, 2]


def test_a_first_ticket_counts_as_tried_when_ten_things_had_it_or_beyond():
    ratio = np.concatenate([np.full(15, 0.9), np.full(9, 1.4), np.full(6, 1.2), np.full(10, 0.5)])
    item = np.append(np.arange(30), np.arange(10))
    age = np.append(np.zeros(30), np.full(10, 14.0))
    seen = PricePeriods(
        item, np.zeros(40, int), ratio, np.full(40, 14.0), np.zeros(40, bool), age=age
    )
    assert first_tickets_tried(seen, 2).tolist() == [[0.9, 1.2], [1, 1]]


def test_without_data_it_is_the_opinion_exactly():
    demand = learn_demand(PricePeriods.none(), ["shirt", "shoes"])
    opinion = DemandOpinion()
    assert demand.log_rate.tolist() == [np.log(0.015)] * 2
    assert demand.elasticity.tolist() == [2.5] * 2
    assert demand.covariance.tolist() == opinion.prior(2)[1].tolist()
    assert demand.rate(0, 1.0) == pytest.approx(0.015, rel=1e-12)
    assert demand.doubt(0, 1.0) == pytest.approx(np.hypot(0.8, 0.4))
    assert demand.days_to_half(0) == pytest.approx((2**0.6 - 1) / 0.6 / 0.015)
    assert demand.tried.tolist() == [[1, 1], [1, 1]]


def test_the_truth_is_found_within_the_stated_doubt():
    """3,000 items of three kinds; each of six numbers within 3.5 of its own doubts (false alarm
    once in 360 runs, and the seed is fixed)."""
    log_rate, elasticity = np.log([0.01, 0.018, 0.03]), np.array([1.8, 2.5, 3.2])
    demand = learn_demand(shop(3, 3000, log_rate, elasticity, unevenness=0.5), ["a", "b", "c"])
    off = np.concatenate([demand.log_rate - log_rate, demand.elasticity - elasticity])
    assert (np.abs(off) < 3.5 * np.sqrt(np.diag(demand.covariance)[:6])).all()
    assert np.abs(demand.log_rate - log_rate).max() < 0.15
    assert np.abs(demand.elasticity - elasticity).max() < 0.35


def test_leaving_out_unsold_items_would_make_the_shop_look_faster():
    seen = shop(4, 1000, np.log([0.015]), np.array([2.5]))
    kept = seen.sold
    only_sold = PricePeriods(
        seen.item[kept], seen.kind[kept], seen.ratio[kept], seen.days[kept], seen.sold[kept]
    )
    assert learn_demand(only_sold, ["a"]).rate(0, 1.0) > 2 * learn_demand(seen, ["a"]).rate(0, 1.0)


def test_a_kind_without_sales_leans_on_the_others():
    seen = shop(5, 1500, np.log([0.03]), np.array([2.5]))
    demand = learn_demand(seen, ["seen", "new"])
    assert 0.015 < demand.rate(1, 1.0) < demand.rate(0, 1.0) * 1.01
    assert demand.doubt(1, 1.0) > demand.doubt(0, 1.0)
    assert demand.doubt(1, 1.0) < np.hypot(0.8, 0.4)


def test_a_few_sales_move_the_opinion_a_little_and_many_move_it_fully():
    truth = (np.log([0.04]), np.array([2.5]))
    few = learn_demand(shop(6, 4, *truth), ["a"]).rate(0, 1.0)
    many = learn_demand(shop(6, 2000, *truth), ["a"]).rate(0, 1.0)
    assert 0.015 < few < many
    assert many == pytest.approx(0.04, rel=0.1)


def test_dearer_never_sells_faster_whatever_the_data_say():
    """Sales only at the dear tickets, none at the cheap ones."""
    ratio = np.repeat([0.6, 1.5], 200)
    seen = PricePeriods(np.arange(400), np.zeros(400, int), ratio, np.full(400, 14.0), ratio > 1)
    demand = learn_demand(seen, ["a"])
    assert demand.elasticity[0] == LEAST_ELASTICITY
    assert demand.rate(0, 1.2) < demand.rate(0, 0.8)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.integers(1, 40))
def test_any_small_shop_gives_falling_finite_rates(seed, items):
    demand = learn_demand(shop(seed, items, np.log([0.01, 0.05]), np.array([1, 4])), ["a", "b"])
    ratio = np.linspace(0.3, 3, 20)
    for kind in range(2):
        rate = demand.rate(kind, ratio)
        assert np.isfinite(rate).all()
        assert (np.diff(rate) < 0).all()
        assert (np.linalg.eigvalsh(demand.covariance) > 0).all()


@pytest.mark.parametrize(
    ("ratio", "days", "said"), [(0.0, 5.0, "ratio is 0"), (1.0, -1.0, "days is -1")]
)
def test_a_row_that_cannot_be_is_named(ratio, days, said):
    with pytest.raises(ReadingError, match=said):
        PricePeriods(
            np.arange(1), np.zeros(1, int), np.array([ratio]), np.array([days]), np.array([True])
        )
