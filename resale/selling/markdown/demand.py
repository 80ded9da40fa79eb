"""How fast items sell at a ticket price, learned from what sold and from what did not.

daily rate = z * exp(a_kind - b_kind * log(ticket / estimate))

with a factor z of each item's own, since no estimate says all (see `uneven_rates`). Every stretch
of days at one ticket price is a row: it ended in a sale or it did not. Rows that ended without a
sale carry as much knowledge as the others: so many days, and nobody came.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from resale.errors import ReadingError
from resale.pricing.model.terms import Array
from resale.selling.markdown.frailty import EVEN, Waits, most_likely, stays, waits

# A shop where a dearer ticket sold faster would be told to ask the earth; so small a fall in
# demand is as far as the data are believed.
LEAST_ELASTICITY = 0.2


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
    """

    item: npt.NDArray[np.intp]
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
        whole = np.zeros(0, np.intp)
        return cls(whole, whole, empty, empty, np.zeros(0, bool))


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
    unevenness : float
        Variance of the factor by which items of like kind and price differ in their rate. An
        estimate that is off by a third either way and an elasticity of 2.5 make about 0.6.
    unevenness_doubt : float
        Standard deviation of that opinion in its log; 0 to keep it as it is.
    """

    rate: float = 0.015
    rate_doubt: float = 0.8
    elasticity: float = 2.5
    elasticity_doubt: float = 0.8
    kind_rate_doubt: float = 0.4
    kind_elasticity_doubt: float = 0.4
    unevenness: float = 0.6
    unevenness_doubt: float = 0.5

    def prior(self, kinds: int) -> tuple[Array, Array]:
        """Mean and covariance of (a_1 .. a_K, b_1 .. b_K, log v).

        What the kinds have in common is averaged out, so each kind learns from all others.
        """
        mean = np.repeat([np.log(self.rate), self.elasticity], kinds)
        covariance = np.zeros((2 * kinds + 1, 2 * kinds + 1))
        for place, shop, own in (
            (slice(0, kinds), self.rate_doubt, self.kind_rate_doubt),
            (slice(kinds, 2 * kinds), self.elasticity_doubt, self.kind_elasticity_doubt),
        ):
            covariance[place, place] = shop**2 + np.eye(kinds) * own**2
        # Where it is not learned the number is never used, but the table has to be invertible.
        covariance[-1, -1] = self.unevenness_doubt**2 or 1.0
        return np.append(mean, np.log(max(self.unevenness, EVEN))), covariance


@dataclass(frozen=True)
class Demand:
    """What was learned, kind by kind.

    Attributes
    ----------
    kinds : tuple of str
    log_rate, elasticity : ndarray, shape (kinds,)
        a and b of each kind.
    unevenness : float
        How much items differ beyond kind and price, as the variance of a factor with mean 1.
    covariance : ndarray, shape (2 kinds + 1, 2 kinds + 1)
        Doubt about all a, then all b, then the log of the unevenness.
    sold, days : ndarray, shape (kinds,)
        Sales and days on the rail that this rests on.
    """

    kinds: tuple[str, ...]
    log_rate: Array
    elasticity: Array
    unevenness: float
    covariance: Array
    sold: Array
    days: Array

    def rate(self, kind: npt.NDArray[np.intp] | int, ratio: Array | float) -> Array:
        """Sales a day of a fresh item at a ticket of so many times the estimate."""
        return np.asarray(np.exp(self.log_rate[kind] - self.elasticity[kind] * np.log(ratio)))

    def chance(self, rate: Array, days: Array | float, before: Array | float = 0.0) -> Array:
        """Chance of a sale within so many days.

        Parameters
        ----------
        rate : ndarray
            Sales a day of a fresh item, as `rate` gives them.
        before : ndarray
            Rate times days that the item has hung already, summed over its prices: the longer,
            the likelier it is one of the slow ones.
        """
        return np.asarray(1 - stays(rate * np.asarray(days), before, self.unevenness))

    def hangs(self, rate: Array, days: Array | float, before: Array | float = 0.0) -> Array:
        """Expected days on the rail, counting so many at most."""
        return waits(rate, days, before, self.unevenness)

    def doubt(self, kind: int, ratio: float) -> float:
        """Standard deviation of the log of that rate."""
        row = np.zeros(len(self.covariance))
        row[kind], row[len(self.kinds) + kind] = 1.0, -np.log(ratio)
        return float(np.sqrt(row @ self.covariance @ row))

    def days_to_half(self, kind: int, ratio: float = 1.0) -> float:
        """Days after which half of such items have sold."""
        v = max(self.unevenness, EVEN)
        return float(np.expm1(v * np.log(2)) / v / self.rate(kind, ratio))


def learn_demand(
    periods: PricePeriods, kinds: Sequence[str], opinion: DemandOpinion | None = None
) -> Demand:
    """Learn how fast each kind sells at which price.

    Maximises, with H the sum of rate times days over the rows of an item and y its sale,

    sum over items of  w (y log r - (y + 1/v) log(1 + v H))  -  (t - m)' C^-1 (t - m) / 2

    with r the rate at which it sold, t all a, all b and log v, and m, C the opinion.

    Parameters
    ----------
    periods : PricePeriods
    kinds : sequence of str
        Every kind of the book, also those without a sale.
    opinion : DemandOpinion, optional
        What holds before data; with no data it is returned as it is.

    Notes
    -----
    Where v is 0 this is Poisson regression with exposure, which takes all items of a kind for
    alike. They are not: what was overrated hangs, and is marked down because it hangs, so a fit
    without v believes that marks do little. The doubt is that of a normal curve laid over the
    top (Laplace). Elasticities are kept at `LEAST_ELASTICITY` or above.

    Examples
    --------
    >>> demand = learn_demand(PricePeriods.none(), ["shirt"])
    >>> float(demand.rate(0, 1.0).round(4)), float(demand.elasticity[0])
    (0.015, 2.5)
    """
    opinion = opinion or DemandOpinion()
    count, rows = len(kinds), len(periods.days)
    mean, doubt = opinion.prior(count)
    learned = mean
    first, item = np.unique(periods.item, return_index=True, return_inverse=True)[1:]
    weight = np.ones(rows) if periods.weight is None else periods.weight
    sold = periods.sold.astype(float)
    if rows:
        design = np.zeros((rows, 2 * count))
        design[np.arange(rows), periods.kind] = 1.0
        design[np.arange(rows), count + periods.kind] = -np.log(periods.ratio)
        least = np.repeat([-np.inf, LEAST_ELASTICITY], count)
        seen = Waits(item, design, sold, periods.days, weight[first])
        learned, doubt = most_likely(
            seen, mean, doubt, np.append(least, np.log(EVEN)), opinion.unevenness_doubt > 0
        )
    return Demand(
        tuple(kinds),
        learned[:count],
        learned[count : 2 * count],
        float(np.exp(learned[-1])),
        doubt,
        np.bincount(periods.kind, weight * sold, count).astype(float),
        np.bincount(periods.kind, weight * periods.days, count).astype(float),
    )
