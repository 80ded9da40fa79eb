"""How far estimates were off: by kind, over time, and against what was paid."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy

from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.evaluation.cross_validation import ValidationSales
from resale.pricing.model.columns.terms import Array
from resale.pricing.model.recency import Days

BINS, FEWEST_A_BIN = 10, 10
SURE = 0.95


def percent_off(log_error: float) -> float:
    """Log error as percent: 0.2 is 22 % either way (that is, a factor of 1.22)."""
    return float(100 * np.expm1(log_error))


@dataclass(frozen=True)
class Off:
    """How far estimates were off, in percent either way.

    Attributes
    ----------
    kind : str
        Id of the kind; empty for all kinds together.
    median, ninetieth : float
        Half of the sales, and nine in ten, were off by no more than this.
    rules_median, rules_ninetieth : float
        The same for the rules alone.
    """

    kind: str
    sales: int
    median: float
    ninetieth: float
    rules_median: float
    rules_ninetieth: float


@dataclass(frozen=True)
class Bin:
    """Sales with estimates near one another. Money in the shop's currency.

    Attributes
    ----------
    estimate, actual : float
        Median estimate and median price paid.
    actual_low, actual_high : float
        Prices between which the middle eight in ten of them lie.
    """

    sales: int
    estimate: float
    actual: float
    actual_low: float
    actual_high: float


@dataclass(frozen=True)
class Drift:
    """Sales of a month or longer against their estimates.

    Attributes
    ----------
    first, last : datetime64[D]
        Days of the first and last of these sales.
    median : float
        Median of log price over estimate: above 0, sales brought more than was estimated.
    low, high : float
        Interval that holds the true median in 95 of 100 such months; NaN where the sales are
        too few to say.
    """

    first: np.datetime64
    last: np.datetime64
    sales: int
    median: float
    low: float
    high: float

    @property
    def sure(self) -> bool:
        """Whether the interval leaves out 0."""
        return self.low > 0 or self.high < 0


def how_far_off(book: RuleBook, validation: ValidationSales) -> tuple[Off, ...]:
    """Return all kinds together, then each kind that has sales, in order of the book.

    Parameters
    ----------
    book : RuleBook
    validation : ValidationSales
        Sales with the estimate that was made without them.

    Returns
    -------
    tuple of Off
        Errors as log ratios of estimate to price.
    """
    error, rules = np.abs(validation.error), np.abs(validation.rules_error)
    found = [_off("", error, rules)]
    for place, kind in enumerate(book.kinds):
        rows = validation.kinds == place
        if rows.any():
            found.append(_off(kind, error[rows], rules[rows]))
    return tuple(found)


def _off(kind: str, error: Array, rules: Array) -> Off:
    levels = [0.5, 0.9]
    found = (*np.quantile(error, levels), *np.quantile(rules, levels))
    return Off(kind, len(error), *(percent_off(value) for value in found))


def predicted_against_actual(validation: ValidationSales, bins: int = BINS) -> tuple[Bin, ...]:
    """Sort sales by estimate, cut them into parts of like size, and look at what was paid.

    Parameters
    ----------
    validation : ValidationSales
    bins : int
        Parts of like size; fewer where there are too few sales.

    Returns
    -------
    tuple of Bin
        The cheapest first; money in the shop's currency.
    """
    bins = max(min(bins, len(validation) // FEWEST_A_BIN), 1)
    order = np.argsort(validation.model.middle, kind="stable")
    estimate = validation.model.estimate
    return tuple(
        Bin(
            len(rows),
            float(np.median(estimate[rows])),
            float(np.median(validation.price[rows])),
            *(float(price) for price in np.quantile(validation.price[rows], [0.1, 0.9])),
        )
        for rows in np.array_split(order, bins)
    )


def drift_by_month(validation: ValidationSales) -> tuple[Drift, ...]:
    """Median log error of each month that has sales, oldest first."""
    months = validation.sold_on.astype("datetime64[M]")
    return tuple(
        drift_of(validation.error[rows], validation.sold_on[rows])
        for rows in (months == month for month in np.unique(months))
    )


def drift_of(error: Array, sold_on: Days) -> Drift:
    """Median of these log errors with its interval.

    Parameters
    ----------
    error : ndarray, shape (n,)
        Log of price paid over estimate.
    sold_on : ndarray of datetime64, shape (n,)
        Days of those sales.

    Returns
    -------
    Drift

    Notes
    -----
    The interval comes from order statistics and the binomial distribution, so it needs no shape
    of the errors (Conover 1999, Practical Nonparametric Statistics, section 3.2; from memory).
    """
    interval = scipy.stats.quantile_test(error, p=0.5).confidence_interval(SURE)
    return Drift(
        sold_on.min(),
        sold_on.max(),
        len(error),
        float(np.median(error)),
        float(interval.low),
        float(interval.high),
    )
