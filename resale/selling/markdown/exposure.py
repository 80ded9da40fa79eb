"""What was seen of selling: stretches of days that things hung at one price, sold or not."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from resale.errors import ReadingError
from resale.pricing.model.columns.terms import Array


@dataclass(frozen=True)
class PricePeriods:
    """Stretches of days that items hung at one price.

    Attributes
    ----------
    item : ndarray of int, shape (n,)
        Any number that tells items apart; an item may have several stretches.
    kind : ndarray of int, shape (n,)
        Place of the kind in the list that `learn_demand` is given.
    ratio : ndarray, shape (n,)
        Ticket over estimate, above 0.
    days : ndarray, shape (n,)
        Days at that price, above 0; parts of a day count.
    sold : ndarray of bool, shape (n,)
        Whether the stretch ended in a sale.
    weight : ndarray, shape (n,), optional
        How much an item counts (older sales less), the same in all its rows; 1 unless given.
    age : ndarray, shape (n,), optional
        Days that the item had hung when the stretch began, 0 or more; unless given, stretches of
        an item follow one another in the order of the rows.
    """

    item: npt.NDArray[np.intp]
    kind: npt.NDArray[np.intp]
    ratio: Array
    days: Array
    sold: npt.NDArray[np.bool_]
    weight: Array | None = None
    age: Array | None = None

    def __post_init__(self) -> None:
        for name in ("ratio", "days"):
            values = getattr(self, name)
            wrong = np.flatnonzero(~(np.isfinite(values) & (values > 0)))
            if len(wrong):
                raise ReadingError(
                    f"{name} is {values[wrong[0]]:g}",
                    where=f"price period {wrong[0] + 1}",
                    remedy="give a number above 0",
                )

    @classmethod
    def none(cls) -> PricePeriods:
        """Nothing seen yet."""
        empty = np.zeros(0)
        whole = np.zeros(0, np.intp)
        return cls(whole, whole, empty, empty, np.zeros(0, bool))

    @property
    def ages(self) -> Array:
        """Days hung before each stretch, shape (n,)."""
        if self.age is not None:
            return self.age
        order = np.argsort(self.item, kind="stable")
        days = self.days[order]
        before = np.cumsum(days) - days
        first = np.r_[True, np.diff(self.item[order]) != 0][: len(days)]
        starts = before[first][np.cumsum(first) - 1]
        ages = np.empty(len(days))
        ages[order] = np.maximum(before - starts, 0.0)
        return ages

    @property
    def weights(self) -> Array:
        """How much each stretch counts, shape (n,)."""
        return np.ones(len(self.days)) if self.weight is None else self.weight

    def rows(self, chosen: npt.NDArray[np.bool_] | npt.NDArray[np.intp]) -> PricePeriods:
        """Return some of the stretches, their ages as they were."""
        return PricePeriods(
            self.item[chosen],
            self.kind[chosen],
            self.ratio[chosen],
            self.days[chosen],
            self.sold[chosen],
            None if self.weight is None else self.weight[chosen],
            self.ages[chosen],
        )
