"""How far off, drift and bands: by hand, and by a second library."""

import numpy as np
import pytest
from scipy.stats import binom
from statsmodels.stats.proportion import proportion_confint
from tiny_rule_book import tiny_rule_book
from validation_by_hand import FIRST, cross_validate

from resale.pricing.evaluation.coverage import observed_coverage, share_interval
from resale.pricing.evaluation.cross_validation import COVERAGES
from resale.pricing.evaluation.errors import (
    drift_by_month,
    drift_of,
    how_far_off,
    percent_off,
    predicted_against_actual,
)


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    return tiny_rule_book(tmp_path_factory.mktemp("book"))


# --- how far off ------------------------------------------------------------------------------


def test_a_log_error_of_a_fifth_is_22_percent():
    """exp(0.2) = 1.2214."""
    assert percent_off(0.2) == pytest.approx(22.14, abs=0.005)


def test_how_far_off_is_the_median_and_the_ninetieth_percentile_by_kind(book):
    """Errors 0.1 to 1.1 in steps of a tenth, signs mixed: median 0.6, 90th percentile 1.0."""
    sizes = np.arange(1, 12) / 10
    signs = np.where(np.arange(11) % 2, -1, 1)
    validation = cross_validate(signs * sizes, rules_error=2 * sizes, kinds=[0] * 10 + [1])
    overall, boot, shirt = how_far_off(book, validation)
    assert (overall.kind, boot.kind, shirt.kind) == ("", *book.kinds)
    assert overall.sales == 11
    assert overall.median == pytest.approx(100 * np.expm1(0.6))
    assert overall.ninetieth == pytest.approx(100 * np.expm1(1.0))
    assert overall.rules_median == pytest.approx(100 * np.expm1(1.2))
    assert overall.rules_ninetieth == pytest.approx(100 * np.expm1(2.0))
    assert shirt.sales == 1 and shirt.median == pytest.approx(100 * np.expm1(1.1))


def test_a_kind_without_sales_has_no_line(book):
    assert [one.kind for one in how_far_off(book, cross_validate([0.1]))] == ["", "boot"]


def test_predicted_against_actual_keeps_every_sale_once_and_rises_with_the_estimate():
    rng = np.random.default_rng(2)
    validation = cross_validate(
        0.2 * rng.standard_normal(205), estimate=np.exp(rng.normal(3, 0.5, 205))
    )
    bins = predicted_against_actual(validation)
    assert len(bins) == 10 and sum(one.sales for one in bins) == 205
    assert np.all(np.diff([one.estimate for one in bins]) > 0)
    lowest = np.argsort(validation.model.estimate)[:21]
    assert bins[0].estimate == pytest.approx(np.median(validation.model.estimate[lowest]))
    assert bins[0].actual == pytest.approx(np.median(validation.price[lowest]))
    assert bins[0].actual_low <= bins[0].actual <= bins[0].actual_high


@pytest.mark.parametrize(("sales", "bins"), [(5, 1), (25, 2), (1000, 10)])
def test_few_sales_are_not_cut_into_bins_of_a_few(sales, bins):
    assert len(predicted_against_actual(cross_validate(np.zeros(sales)))) == bins


# --- drift ------------------------------------------------------------------------------------


def test_the_interval_of_a_median_is_that_of_the_binomial_ranks():
    """Second road: ranks l < u of n sorted errors with at least 2.5 % of Bin(n, 1/2) cut off at
    each end at most, so that the true median lies between them in 95 of 100."""
    error = np.sort(np.random.default_rng(4).standard_normal(30))
    drift = drift_of(error, FIRST + np.arange(30))
    lower = int(binom.ppf(0.025, 30, 0.5))
    while binom.cdf(lower - 1, 30, 0.5) > 0.025:
        lower -= 1
    assert drift.low == pytest.approx(error[lower - 1])
    assert drift.high == pytest.approx(error[30 - lower])
    assert drift.median == pytest.approx(np.median(error))


def test_the_interval_holds_the_true_median_as_often_as_it_says():
    """400 draws of 25 skewed errors with true median 0. The exact chance at these ranks is
    0.957; 400 draws have a standard deviation of 0.010; four of them either way."""
    rng = np.random.default_rng(8)
    drawn = rng.exponential(1.0, (400, 25)) - np.log(2)
    validation = [drift_of(error, FIRST + np.arange(25)) for error in drawn]
    assert np.mean([not one.sure for one in validation]) == pytest.approx(0.957, abs=0.04)


def test_drift_is_told_month_by_month_and_few_sales_say_nothing_surely():
    drift = drift_by_month(cross_validate([0.5] * 31 + [0.0] * 28 + [0.5] * 3))
    assert [one.sales for one in drift] == [31, 28, 3]
    assert [str(one.first) for one in drift] == ["2026-01-01", "2026-02-01", "2026-03-01"]
    assert drift[0].sure and not drift[1].sure
    assert np.isnan([drift[2].low, drift[2].high]).all() and not drift[2].sure


# --- bands ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("count", "of", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0000, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_the_interval_of_a_share_is_that_of_wilson(count, of, low, high):
    """Newcombe 1998, Statistics in Medicine 17, 857-872, Table I, method 3 (from memory), to the
    four decimals printed; and statsmodels to rounding."""
    found = share_interval(count, of)
    assert found == pytest.approx((low, high), abs=0.00005)
    assert found == pytest.approx(proportion_confint(count, of, method="wilson"), abs=1e-12)


def test_bands_are_counted_by_promise_and_by_kind(book):
    error = np.array([0.0] * 80 + [2.0] * 20)
    coverage = observed_coverage(book, cross_validate(error, kinds=[0] * 70 + [1] * 30))
    assert len(coverage) == 3 * len(COVERAGES)
    assert [one.promised for one in coverage[::3]] == list(COVERAGES)
    overall, boot, shirt = (one for one in coverage if one.promised == 0.8)
    assert (overall.inside, boot.inside, shirt.inside) == pytest.approx((0.8, 1.0, 1 / 3))
    assert not overall.off and boot.off and shirt.off
