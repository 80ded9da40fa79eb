"""Weights of old sales: by hand, and the same weighted fit by another library."""

import numpy as np
import pandas as pd
import pytest
import statsmodels.api as sm

from resale.config.prices import HALF_LIFE_DAYS
from resale.errors import ReadingError
from resale.pricing.model.estimator import RulePriorRegressor
from resale.pricing.model.recency import as_counts, kish_count, recency_weights

TODAY = np.datetime64("2026-10-31")


def days_before(*ages):
    return TODAY - np.array(ages, dtype="timedelta64[D]")


def test_the_weight_halves_with_every_half_life():
    """By hand: 0, 1, 2 half-lives of 90 days, and 45 days, which is 2 ** -0.5."""
    weights = recency_weights(days_before(0, 90, 180, 45), TODAY, 90)
    assert weights == pytest.approx([1, 0.5, 0.25, 0.5**0.5], rel=1e-15)


def test_a_year_is_the_half_life_where_the_shop_says_nothing():
    assert HALF_LIFE_DAYS == 365
    assert recency_weights(days_before(365), TODAY)[0] == 0.5


def test_a_sale_dated_after_today_counts_as_one_of_today():
    assert recency_weights(days_before(-400), TODAY)[0] == 1.0


def test_without_an_end_to_the_half_life_all_sales_count_alike():
    assert np.all(recency_weights(days_before(0, 10_000), TODAY, np.inf) == 1.0)


def test_no_sale_is_so_old_that_it_is_none():
    assert recency_weights(days_before(30_000), TODAY, 1)[0] > 0


@pytest.mark.parametrize("half_life", [0, -1, float("nan")])
def test_a_half_life_that_is_no_length_of_time_is_refused(half_life):
    with pytest.raises(ReadingError, match="half-life"):
        recency_weights(days_before(1), TODAY, half_life)


def test_a_sale_without_a_day_is_named():
    days = np.array(["2026-01-01", "NaT"], dtype="datetime64[D]")
    with pytest.raises(ReadingError, match="sale 2"):
        recency_weights(days, TODAY)


def test_a_weighted_seasonal_fit_is_that_of_weighted_least_squares():
    """statsmodels WLS on the same season and kind indicators, weights and log prices.

    Ours shrinks with a fixed penalty of 1e-6 against tens of sales a column, so effects of up to
    0.4 come out by some 1e-8 too small; 1e-7 leaves room for redundant columns.
    """
    rng = np.random.default_rng(7)
    items = pd.DataFrame(
        {
            "season": rng.choice(["winter", "spring", "summer", "autumn"], 300),
            "kind": rng.choice(["coat", "shirt"], 300),
        }
    )
    log_price = 3 + 0.4 * (items["kind"] == "coat") + 0.2 * (items["season"] == "winter")
    log_price += 0.3 * rng.standard_normal(300)
    weights = recency_weights(days_before(*rng.integers(0, 1500, 300)), TODAY)
    ours = RulePriorRegressor(pairs=False, shrinkage=1e-6).fit(items, np.exp(log_price), weights)
    columns = sm.add_constant(pd.get_dummies(items, drop_first=True).astype(float))
    theirs = sm.WLS(log_price, columns, weights=weights).fit()
    assert np.log(ours.predict(items)) == pytest.approx(theirs.fittedvalues, abs=1e-7)
    equal = RulePriorRegressor(pairs=False, shrinkage=1e-6).fit(items, np.exp(log_price))
    assert np.abs(np.log(equal.predict(items)) - theirs.fittedvalues).max() > 1e-3


def test_a_thousand_sales_of_weight_one_half_are_worth_a_thousand():
    assert kish_count(np.full(1000, 0.5)) == pytest.approx(1000)
    assert as_counts(np.full(1000, 0.5)) == pytest.approx(np.ones(1000))


def test_kish_by_hand():
    """Weights 1, 1, 2: (1 + 1 + 2)**2 / (1 + 1 + 4) = 16 / 6 (Kish 1965, ch. 11.7, from memory)."""
    assert kish_count(np.array([1.0, 1.0, 2.0])) == pytest.approx(16 / 6)
    assert as_counts(np.array([1.0, 1.0, 2.0])).sum() == pytest.approx(16 / 6)


def test_the_mean_of_weighted_sales_is_as_sure_as_that_of_so_many_equal_ones():
    """Second road: the variance of a weighted mean of 4,000 draws of 50 normal numbers is one
    over Kish's number; a relative 3 / sqrt(2,000) is three standard errors of a variance."""
    rng = np.random.default_rng(3)
    weight = 0.5 ** rng.uniform(0, 4, 50)
    means = rng.standard_normal((4000, 50)) @ weight / weight.sum()
    assert means.var() == pytest.approx(1 / kish_count(weight), rel=3 / 2000**0.5)
