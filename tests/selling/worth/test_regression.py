"""Worth by regression: other programs on the same data, a published table, slopes, no data."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm
from scipy.optimize import approx_fprime
from scipy.stats import gamma

from resale.selling.markdown.ageing import EDGES
from resale.selling.worth.definition import USUAL_DAYS, log_rate_at_worth, slopes_at_worth
from resale.selling.worth.regression import (
    Hung,
    SoldOnly,
    WorthOpinion,
    _Likelihood,
    learn_worth,
)

# Freireich et al. 1963, Blood 21, 699-716: weeks; + means still going on.
SIX_MP = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+"
PLACEBO = "1 1 2 2 3 4 4 5 5 8 8 8 8 11 11 12 12 15 17 22 23"
# So firm that age and unevenness stay what they are: then it is plain Poisson regression.
EVEN = {
    "slowing_doubt": 0.0,
    "age_step": 0.0,
    "unevenness": 1e-3,
    "unevenness_doubt": 0.0,
}


def hung_once(columns: np.ndarray, ticket: np.ndarray, days: np.ndarray, sold: np.ndarray) -> Hung:
    """One period for each thing."""
    count = len(days)
    return Hung(columns, np.ones(count), np.arange(count), ticket, days, np.zeros(count), sold)


def some_shop(seed: int, count: int, unevenness: float) -> Hung:
    """Things with two signs, at scattered tickets, whose rates follow the model."""
    rng = np.random.default_rng(seed)
    columns = np.column_stack([np.ones(count), rng.random(count) < 0.4, rng.normal(size=count)])
    log_worth = columns @ [3.0, 0.4, 0.2]
    ticket = np.exp(log_worth + rng.normal(0, 0.4, count))
    own = rng.gamma(1 / unevenness, unevenness, count) if unevenness else np.ones(count)
    rate = own * np.log(2) / 28 * np.exp(-2.0 * (np.log(ticket) - log_worth))
    needed, most = rng.exponential(size=count) / rate, rng.uniform(5, 90, count)
    return hung_once(columns, ticket, np.minimum(needed, most), needed <= most)


def wide(**more: float) -> WorthOpinion:
    return WorthOpinion(np.zeros(3), np.full(3, 1e3), elasticity_doubt=1e3, **{**EVEN, **more})


def test_without_opinion_it_agrees_with_a_poisson_regression_with_offset() -> None:
    """statsmodels on log rate; its effects are ours times the elasticity, and its level is the
    rate at worth besides."""
    hung = some_shop(1, 2000, 0.0)
    found = learn_worth(hung, None, wide())
    theirs = sm.GLM(
        hung.sold.astype(float),
        np.column_stack([hung.columns, -np.log(hung.ticket)]),
        sm.families.Poisson(),
        offset=np.log(hung.days),
    ).fit(tol=1e-12)
    ours = found.effect * found.elasticity + [found.level, 0, 0]
    # An unevenness of a thousandth is the least that is asked of ours: hence three digits.
    assert np.append(ours, found.elasticity) == pytest.approx(theirs.params, abs=4e-3)


def test_uneven_things_agree_with_a_negative_binomial_regression() -> None:
    """One period a thing makes the count negative binomial; statsmodels by another road."""
    hung = some_shop(2, 4000, 0.8)
    found = learn_worth(hung, None, wide(unevenness=0.6, unevenness_doubt=1e3))
    theirs = sm.NegativeBinomial(
        hung.sold.astype(float),
        np.column_stack([hung.columns, -np.log(hung.ticket)]),
        exposure=hung.days,
    ).fit(method="bfgs", start_params=[3.0, 0.8, 0.4, 2.0, 0.6], disp=0, gtol=1e-9, maxiter=500)
    ours = found.effect * found.elasticity + [found.level, 0, 0]
    assert [*ours, found.elasticity, found.unevenness] == pytest.approx(theirs.params, abs=2e-3)


def test_a_published_rate_ratio_becomes_a_ratio_of_worths() -> None:
    """9 events in 359 weeks and 21 in 182: rates in the ratio 4.603 (exponential fit of the
    published times). At one ticket and elasticity 2.5, worths are in the ratio 4.603 ** 0.4."""
    days, sold, arm = [], [], []
    for place, text in enumerate([SIX_MP, PLACEBO]):
        for word in text.split():
            days.append(float(word.rstrip("+")))
            sold.append(not word.endswith("+"))
            arm.append(place)
    columns = np.column_stack([np.ones(len(arm)), arm])
    hung = hung_once(columns, np.full(len(arm), 10.0), np.array(days), np.array(sold))
    opinion = WorthOpinion(np.zeros(2), np.full(2, 1e3), elasticity_doubt=0.0, **EVEN)
    found = learn_worth(hung, None, opinion)
    # Unevenness of a thousandth, not none: three digits.
    assert np.exp(found.effect[1]) == pytest.approx(4.603**0.4, rel=2e-3)
    rate = np.exp(found.level + 2.5 * (found.effect[0] - np.log(10)))
    assert rate == pytest.approx(9 / 359, rel=2e-2)


def test_slopes_agree_with_differences() -> None:
    hung = some_shop(3, 60, 0.5)
    more = replace(hung, age=np.random.default_rng(0).uniform(0, 80, 60))
    bare = SoldOnly(hung.columns[:20], np.linspace(0.2, 1, 20), hung.ticket[:20])
    opinion = WorthOpinion(np.array([3.0, 0.0, 0.0]), np.full(3, 0.5))
    programme = _Likelihood.of(more, bare, opinion)
    at = np.random.default_rng(4).normal(0, 0.4, len(programme.middle))
    numeric = approx_fprime(at, lambda point: programme.downhill(point)[0], 1e-6)
    assert programme.downhill(at)[1] == pytest.approx(numeric, abs=2e-3)


def test_with_nothing_seen_it_is_the_opinion() -> None:
    empty = np.zeros(0)
    nothing = Hung(np.zeros((0, 3)), empty, np.zeros(0, int), empty, empty, empty, empty > 0)
    opinion = WorthOpinion(np.array([3.0, 0.4, -0.2]), np.full(3, 0.3))
    found = learn_worth(nothing, None, opinion)
    assert found.effect.tolist() == opinion.effect.tolist()
    assert (found.elasticity, found.shortfall) == (2.5, 0.0)
    assert found.unevenness == pytest.approx(0.6)


def test_bare_sales_say_worth_less_the_stated_shortfall() -> None:
    """Many sales at 20, each a mark of 0.2 (log) below worth, by an opinion held firmly."""
    empty = np.zeros(0)
    nothing = Hung(np.zeros((0, 1)), empty, np.zeros(0, int), empty, empty, empty, empty > 0)
    bare = SoldOnly(np.ones((500, 1)), np.ones(500), np.full(500, 20.0))
    opinion = WorthOpinion(np.zeros(1), np.full(1, 10.0), shortfall=0.2, shortfall_doubt=1e-6)
    found = learn_worth(nothing, bare, opinion)
    assert float(np.exp(found.effect[0])) == pytest.approx(20 * np.exp(0.2), rel=1e-3)


@pytest.mark.parametrize("unevenness", [0.05, 0.6, 2.0])
def test_at_its_worth_half_of_things_sell_in_the_usual_time(unevenness: float) -> None:
    """Derived: the mean over 20,000 quantiles of a gamma of the share still unsold."""
    ageing = np.linspace(0.6, -0.8, len(EDGES))
    own = gamma.ppf((np.arange(20_000) + 0.5) / 20_000, 1 / unevenness, scale=unevenness)
    factor = np.exp(ageing[:3])
    looks = np.array([7, 7, 14]) @ factor
    assert USUAL_DAYS == 28
    unsold = np.exp(-own * np.exp(log_rate_at_worth(unevenness, ageing)) * looks).mean()
    assert unsold == pytest.approx(0.5, abs=1e-4)


def test_slopes_of_the_definition_agree_with_differences() -> None:
    ageing = np.linspace(0.5, -0.5, len(EDGES))
    in_log, in_ageing = slopes_at_worth(0.7, ageing)
    step = 1e-6
    up, down = (log_rate_at_worth(0.7 * np.exp(sign * step), ageing) for sign in (1, -1))
    assert in_log == pytest.approx((up - down) / (2 * step), abs=1e-6)
    numeric = approx_fprime(ageing, lambda at: log_rate_at_worth(0.7, at), 1e-7)
    assert in_ageing == pytest.approx(numeric, abs=1e-5)
