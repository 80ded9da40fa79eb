"""How long things hang before they sell, counting those that have not sold yet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import scipy

from resale.errors import ReadingError
from resale.pricing.model.columns.terms import Array


@dataclass(frozen=True)
class Survival:
    """Share still unsold after each day on which something sold (Kaplan-Meier).

    Attributes
    ----------
    day : ndarray, shape (m,)
        Days on which at least one item sold, rising.
    sold : ndarray of int, shape (m,)
        Items sold on that day.
    unsold : ndarray, shape (m,)
        Share still unsold after that day.
    """

    day: Array
    sold: npt.NDArray[np.intp]
    unsold: Array

    def at(self, day: Array | float) -> Array:
        """Share still unsold after a number of days."""
        place = np.searchsorted(self.day, day, side="right")
        return np.concatenate([[1.0], self.unsold])[place]

    @property
    def median(self) -> float | None:
        """First day on which no more than half is unsold; None while more than half is."""
        reached = np.flatnonzero(self.unsold <= 0.5)
        return float(self.day[reached[0]]) if len(reached) else None


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

    Returns
    -------
    Survival

    Raises
    ------
    ReadingError
        If a number of days is not above 0.

    Notes
    -----
    The estimate is SciPy's. Leaving out what has not sold makes the shop look faster than it is.
    Assumes that items were not withdrawn because they were slow. Kaplan and Meier 1958, JASA 53.

    Examples
    --------
    >>> import numpy as np
    >>> kaplan_meier(np.array([5.0, 8, 8]), np.array([True, False, True])).unsold.round(3)
    array([0.667, 0.333])
    """
    days, sold = np.asarray(days, dtype=float), np.asarray(sold, dtype=bool)
    if not (days > 0).all():
        raise ReadingError("a number of days is not above 0", remedy="check the dates of that item")
    curve = scipy.stats.ecdf(scipy.stats.CensoredData.right_censored(days, ~sold)).sf
    # Days on which items only left unsold are no steps of the curve.
    day, count = np.unique(days[sold], return_counts=True)
    return Survival(day, count, np.asarray(curve.evaluate(day), dtype=float))
