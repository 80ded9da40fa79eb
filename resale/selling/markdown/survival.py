"""How long things hang before they sell, counting those that have not sold yet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import ndtri

from resale.errors import ReadingError
from resale.pricing.model.terms import Array


@dataclass(frozen=True)
class Survival:
    """Share still unsold after each day on which something sold (Kaplan-Meier).

    Attributes
    ----------
    day : ndarray, shape (m,)
        Days on which at least one item sold, rising.
    at_risk, sold : ndarray of int, shape (m,)
        Items still hanging just before that day, and those sold on it.
    unsold : ndarray, shape (m,)
        Share still unsold after that day.
    error : ndarray, shape (m,)
        Greenwood's standard error of that share.
    """

    day: Array
    at_risk: npt.NDArray[np.intp]
    sold: npt.NDArray[np.intp]
    unsold: Array
    error: Array

    def at(self, day: Array | float) -> Array:
        """Share still unsold after a number of days."""
        place = np.searchsorted(self.day, day, side="right")
        return np.concatenate([[1.0], self.unsold])[place]

    @property
    def median(self) -> float | None:
        """First day on which no more than half is unsold; None while more than half is."""
        reached = np.flatnonzero(self.unsold <= 0.5)
        return float(self.day[reached[0]]) if len(reached) else None

    def band(self, coverage: float = 0.8) -> tuple[Array, Array]:
        """Band round the share unsold, from the error of its log minus log.

        Notes
        -----
        Stays within 0 and 1. Kalbfleisch and Prentice 1980, The Statistical Analysis of Failure
        Time Data, section 1.3 (cited from memory). Without meaning where the share is 0 or 1:
        there it is that share itself.
        """
        inside = (self.unsold > 0) & (self.unsold < 1)
        log = np.log(np.where(inside, self.unsold, 0.5))
        half = (
            ndtri(0.5 + coverage / 2) * self.error / np.abs(np.where(inside, self.unsold, 1) * log)
        )
        low, high = (np.exp(log * np.exp(sign * half)) for sign in (1, -1))
        return np.where(inside, low, self.unsold), np.where(inside, high, self.unsold)


def kaplan_meier(days: Array, sold: npt.NDArray[np.bool_]) -> Survival:
    """Estimate how long items hang, from sold and unsold ones.

    S(t) = product over days d <= t of (1 - sold_d / at_risk_d)

    Parameters
    ----------
    days : ndarray, shape (n,)
        Days on the rail, to the sale or to the last look; above 0.
    sold : ndarray of bool, shape (n,)
        False for items that still hang, or left unsold. One that left on the day of a sale
        counts as still there when the sale was made.

    Raises
    ------
    ReadingError
        If a number of days is not above 0.

    Notes
    -----
    Leaving out what has not sold makes the shop look faster than it is. Assumes that items were
    not withdrawn because they were slow. Kaplan and Meier 1958, JASA 53; Greenwood 1926.

    Examples
    --------
    >>> import numpy as np
    >>> kaplan_meier(np.array([5.0, 8, 8]), np.array([True, False, True])).unsold.round(3)
    array([0.667, 0.333])
    """
    days, sold = np.asarray(days, dtype=float), np.asarray(sold, dtype=bool)
    if not (days > 0).all():
        raise ReadingError("a number of days is not above 0", remedy="check the dates of that item")
    day, count = np.unique(days[sold], return_counts=True)
    at_risk = len(days) - np.searchsorted(np.sort(days), day, side="left")
    unsold = np.asarray(np.cumprod(1 - count / at_risk), dtype=float)
    left = at_risk - count
    # When the last item sells nothing is left to be unsure about: 0 times infinity is 0 here.
    with np.errstate(divide="ignore", invalid="ignore"):
        error = unsold * np.sqrt(np.cumsum(count / (at_risk * left)))
    return Survival(
        day, at_risk, count, unsold, np.asarray(np.where(left > 0, error, 0.0), dtype=float)
    )
