"""How fast items sell at a ticket price, learned from what sold and from what did not.

daily rate = exp(a_kind - b_kind * log(ticket / estimate))

Every stretch of days at one ticket price is a row: it ended in a sale or it did not. Rows that
ended without a sale carry as much knowledge as the others: so many days, and nobody came.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from resale.errors import ReadingError
from resale.pricing.terms import Array
from resale.selling.poisson_rates import most_likely

# A shop where a dearer ticket sold faster would be told to ask the earth; so small a fall in
# demand is as far as the data are believed.
LEAST_ELASTICITY = 0.2


@dataclass(frozen=True)
class PricePeriods:
    """Stretches of days that items hung at one price.

    Attributes
    ----------
    kind : ndarray of int, shape (n,)
        Place of the kind in the list that `learn_demand` is given.
    ratio : ndarray, shape (n,)
        Ticket over estimate, above 0.
    days : ndarray, shape (n,)
        Days at that price, above 0; parts of a day count.
    sold : ndarray of bool, shape (n,)
        Whether the stretch ended in a sale.
    weight : ndarray, shape (n,), optional
        How much a row counts (older sales less); 1 each unless given.
    """

    kind: npt.NDArray[np.intp]
    ratio: Array
    days: Array
    sold: npt.NDArray[np.bool_]
    weight: Array | None = None

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
        return cls(np.zeros(0, np.intp), empty, empty, np.zeros(0, bool))


@dataclass(frozen=True)
class DemandOpinion:
    """What is believed before any sale: common practice, no source.

    Attributes
    ----------
    rate : float
        Chance a day that an item sells at a ticket equal to its estimate, while it is small.
    rate_doubt : float
        Standard deviation of that opinion in log rate, for the shop as a whole.
    elasticity : float
        By how many percent the rate falls for each percent on the ticket.
    elasticity_doubt : float
        Standard deviation of that opinion, for the shop as a whole.
    kind_rate_doubt, kind_elasticity_doubt : float
        How far a kind may lie from the shop as a whole.
    """

    rate: float = 0.015
    rate_doubt: float = 0.8
    elasticity: float = 2.5
    elasticity_doubt: float = 0.8
    kind_rate_doubt: float = 0.4
    kind_elasticity_doubt: float = 0.4

    def prior(self, kinds: int) -> tuple[Array, Array]:
        """Mean and covariance of (a_1 .. a_K, b_1 .. b_K).

        What the kinds have in common is averaged out, so each kind learns from all others.
        """
        mean = np.repeat([np.log(self.rate), self.elasticity], kinds)
        blocks = [
            np.full((kinds, kinds), shop**2) + np.eye(kinds) * own**2
            for shop, own in (
                (self.rate_doubt, self.kind_rate_doubt),
                (self.elasticity_doubt, self.kind_elasticity_doubt),
            )
        ]
        zero = np.zeros((kinds, kinds))
        return mean, np.block([[blocks[0], zero], [zero, blocks[1]]])


@dataclass(frozen=True)
class Demand:
    """What was learned, kind by kind.

    Attributes
    ----------
    kinds : tuple of str
    log_rate, elasticity : ndarray, shape (kinds,)
        a and b of each kind.
    covariance : ndarray, shape (2 kinds, 2 kinds)
        Doubt about all a, then all b.
    sold, days : ndarray, shape (kinds,)
        Sales and days on the rail that this rests on.
    """

    kinds: tuple[str, ...]
    log_rate: Array
    elasticity: Array
    covariance: Array
    sold: Array
    days: Array

    def rate(self, kind: npt.NDArray[np.intp] | int, ratio: Array | float) -> Array:
        """Sales a day at a ticket of so many times the estimate."""
        return np.asarray(np.exp(self.log_rate[kind] - self.elasticity[kind] * np.log(ratio)))

    def chance(
        self, kind: npt.NDArray[np.intp] | int, ratio: Array | float, days: Array | float
    ) -> Array:
        """Chance that an item sells within so many days."""
        return np.asarray(-np.expm1(-self.rate(kind, ratio) * days))

    def doubt(self, kind: int, ratio: float) -> float:
        """Standard deviation of the log of that rate."""
        row = np.zeros(2 * len(self.kinds))
        row[kind], row[len(self.kinds) + kind] = 1.0, -np.log(ratio)
        return float(np.sqrt(row @ self.covariance @ row))

    def days_to_half(self, kind: int, ratio: float = 1.0) -> float:
        """Days after which half of such items have sold."""
        return float(np.log(2) / self.rate(kind, ratio))


def learn_demand(
    periods: PricePeriods, kinds: Sequence[str], opinion: DemandOpinion | None = None
) -> Demand:
    """Learn how fast each kind sells at which price.

    Maximises  sum_i w_i (y_i log r_i - days_i r_i) - (t - m)' C^-1 (t - m) / 2

    with r_i the rate of row i, t all a and b, and m, C the opinion.

    Parameters
    ----------
    periods : PricePeriods
    kinds : sequence of str
        Every kind of the book, also those without a sale.
    opinion : DemandOpinion, optional
        What holds before data; with no data it is returned as it is.

    Notes
    -----
    Poisson regression with exposure; the doubt is that of a normal curve laid over the top
    (Laplace). Assumes that items of a kind differ in their estimate only: where slow items are
    the ones that get marked down, the fall of demand with price looks smaller than it is.
    Elasticities are kept at `LEAST_ELASTICITY` or above.

    Examples
    --------
    >>> demand = learn_demand(PricePeriods.none(), ["shirt"])
    >>> float(demand.rate(0, 1.0).round(4)), float(demand.elasticity[0])
    (0.015, 2.5)
    """
    opinion = opinion or DemandOpinion()
    count = len(kinds)
    mean, covariance = opinion.prior(count)
    weight = np.ones(len(periods.days)) if periods.weight is None else periods.weight
    rows = np.arange(len(periods.days))
    design = np.zeros((len(rows), 2 * count))
    design[rows, periods.kind] = 1.0
    design[rows, count + periods.kind] = -np.log(periods.ratio)
    least = np.concatenate([np.full(count, -np.inf), np.full(count, LEAST_ELASTICITY)])
    sold = periods.sold.astype(float)
    learned, doubt = most_likely(design, sold, periods.days, weight, mean, covariance, least)
    return Demand(
        tuple(kinds),
        learned[:count],
        learned[count:],
        doubt,
        np.bincount(periods.kind, weight * sold, count).astype(float),
        np.bincount(periods.kind, weight * periods.days, count).astype(float),
    )
