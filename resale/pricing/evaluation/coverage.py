"""Whether price bands keep their word: how many sales lay inside, against what was promised."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import scipy

from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.evaluation.cross_validation import COVERAGES, ValidationSales

SURE = 0.95


@dataclass(frozen=True)
class Coverage:
    """Sales inside their band.

    Attributes
    ----------
    kind : str
        Id of the kind; empty for all kinds together.
    promised : float
        Share of sales that the band should hold.
    inside : float
        Share that it held.
    low, high : float
        Wilson interval of that share.
    """

    kind: str
    promised: float
    sales: int
    inside: float
    low: float
    high: float

    @property
    def off(self) -> bool:
        """Whether luck alone hardly explains how far it is from the promise."""
        return not self.low <= self.promised <= self.high


def share_interval(count: int, of: int, sure: float = SURE) -> tuple[float, float]:
    """Wilson's interval of a share.

    Parameters
    ----------
    count : int
        How many have it.
    of : int
        Among how many; 1 or more.
    sure : float
        Chance that the interval holds the true share, above 0 and below 1.

    Returns
    -------
    low, high : float
        Ends of the interval, within 0 and 1.

    References
    ----------
    Wilson 1927, JASA 22, 209-212; the example is in Newcombe 1998, Statistics in Medicine 17,
    857-872, Table I (numbers from memory).

    Examples
    --------
    >>> low, high = share_interval(81, 263)
    >>> round(low, 4), round(high, 4)
    (0.2553, 0.3662)
    """
    interval = scipy.stats.binomtest(count, of).proportion_ci(sure, method="wilson")
    return float(interval.low), float(interval.high)


def observed_coverage(
    book: RuleBook, validation: ValidationSales, sure: float = SURE
) -> tuple[Coverage, ...]:
    """For each promise: all kinds together, then each kind that has sales.

    Parameters
    ----------
    sure : float, default 0.95
        How sure each interval is to hold the true share, in the long run. Where many are looked
        at, ask for more, or some will be off by luck.
    """
    inside = validation.inside
    groups = [("", np.ones(len(validation), dtype=bool))]
    groups += [(kind, validation.kinds == place) for place, kind in enumerate(book.kinds)]
    return tuple(
        _observed(kind, promised, inside[rows, column], sure)
        for column, promised in enumerate(COVERAGES)
        for kind, rows in groups
        if rows.any()
    )


def _observed(kind: str, promised: float, inside: npt.NDArray[np.bool_], sure: float) -> Coverage:
    count, sales = int(inside.sum()), len(inside)
    return Coverage(kind, promised, sales, count / sales, *share_interval(count, sales, sure))
