"""How fast items sell at a ticket price, learned from what sold and from what did not.

daily rate = z * exp(a_kind - b_kind * log(ticket / estimate)) * exp(c_age)

with a factor z of each item's own, since no estimate says all (see `frailty`), and an effect c
of days on the rail (see `ageing`). Every stretch of days at one ticket price is a row: it ended
in a sale or it did not. Rows that ended without a sale carry as much knowledge as the others: so
many days, and nobody came.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from resale.pricing.model.columns.terms import Array
from resale.selling.markdown.ageing import EDGES, age_reaching, outlived, split_by_age
from resale.selling.markdown.demand_opinion import DemandOpinion
from resale.selling.markdown.exposure import PricePeriods
from resale.selling.markdown.frailty import EVEN, Waits, most_likely, stays, waits

# A shop where a dearer ticket sold faster would be told to ask the earth; so small a fall in
# demand is as far as the data are believed.
LEAST_ELASTICITY = 0.2
# So many items have to have been put out at a first ticket, or beyond it, before it was tried.
TRIED = 10


@dataclass(frozen=True)
class Demand:
    """What was learned, kind by kind.

    Attributes
    ----------
    kinds : tuple of str
    log_rate, elasticity : ndarray, shape (kinds,)
        a and b of each kind.
    ageing : ndarray, shape (classes of age,)
        c, the same for all kinds.
    unevenness : float
        How much items differ beyond kind and price, as the variance of a factor with mean 1.
    covariance : ndarray, shape (2 kinds + classes + 1, 2 kinds + classes + 1)
        Doubt about all a, then all b, then c, then the log of the unevenness.
    sold, days : ndarray, shape (kinds,)
        Sales and days on the rail that this rests on.
    tried : ndarray, shape (kinds, 2)
        Lowest and highest first ticket that were tried often enough, over the estimate.
    """

    kinds: tuple[str, ...]
    log_rate: Array
    elasticity: Array
    ageing: Array
    unevenness: float
    covariance: Array
    sold: Array
    days: Array
    tried: Array

    def rate(self, kind: npt.NDArray[np.intp] | int, ratio: Array | float) -> Array:
        """Sales a day at a ticket of so many times the estimate.

        Parameters
        ----------
        kind : ndarray of int, or int
        ratio : ndarray or float

        Returns
        -------
        ndarray
            Of a middling item that has hung a fortnight; see `aged`.
        """
        return np.asarray(np.exp(self.log_rate[kind] - self.elasticity[kind] * np.log(ratio)))

    def aged(self, start: Array | float, days: Array | float) -> Array:
        """Give the mean factor of age on the rate over some days.

        Parameters
        ----------
        start : ndarray or float
            Days on the rail before.
        days : ndarray or float
            Days from then on.

        Returns
        -------
        ndarray
        """
        if np.ndim(start) or np.ndim(days):
            return self._aged(start, days)
        # Every price of a plan asks for the same few periods.
        asked = float(start), float(days)
        if asked not in self._known_ages:
            self._known_ages[asked] = self._aged(*asked)
        return self._known_ages[asked]

    def _aged(self, start: Array | float, days: Array | float) -> Array:
        start = np.asarray(start, dtype=float)
        days = np.maximum(np.asarray(days, dtype=float), 1e-9)
        before, after = outlived(self.ageing, start), outlived(self.ageing, start + days)
        return np.asarray((after - before) / days)

    @cached_property
    def _known_ages(self) -> dict[tuple[float, float], Array]:
        return {}

    def chance(self, rate: Array, days: Array | float, before: Array | float = 0.0) -> Array:
        """Chance of a sale within so many days.

        Parameters
        ----------
        rate : ndarray
            Sales a day, as `rate` gives them, times `aged`.
        before : ndarray
            Rate times days that the item has hung already, summed over its prices: the longer,
            the likelier it is one of the slow ones.
        """
        return np.asarray(1 - stays(rate * np.asarray(days), before, self.unevenness))

    def hangs(self, rate: Array, days: Array | float, before: Array | float = 0.0) -> Array:
        """Expected days on the rail, counting so many at most.

        Parameters
        ----------
        rate : ndarray
            Sales a day, as `rate` gives them, times `aged`.
        days : ndarray or float
            Most days that are counted.
        before : ndarray or float, optional
            Rate times days that the item has hung already, as for `chance`.

        Returns
        -------
        ndarray
            Days, at most `days`.
        """
        return waits(rate, days, before, self.unevenness)

    def doubt(self, kind: int, ratio: float) -> float:
        """Standard deviation of the log of that rate.

        Parameters
        ----------
        kind : int
            Place of the kind in `kinds`.
        ratio : float
            Ticket over estimate.

        Returns
        -------
        float
            In the log: 0.1 is about a tenth up or down.
        """
        row = np.zeros(len(self.covariance))
        row[kind], row[len(self.kinds) + kind] = 1.0, -np.log(ratio)
        return float(np.sqrt(row @ self.covariance @ row))

    def days_to_half(self, kind: int, ratio: float = 1.0) -> float:
        """Days after which half of such items have sold.

        Parameters
        ----------
        kind : int
            Place of the kind in `kinds`.
        ratio : float, optional
            Ticket over estimate; 1 where the ticket says the estimate.

        Returns
        -------
        float
            Days since the item was put out at that ticket.
        """
        v = max(self.unevenness, EVEN)
        hazard = float(np.expm1(v * np.log(2)) / v / self.rate(kind, ratio))
        return age_reaching(self.ageing, hazard)


def learn_demand(
    periods: PricePeriods, kinds: Sequence[str], opinion: DemandOpinion | None = None
) -> Demand:
    """Learn how fast each kind sells at which price.

    Maximises, with H the sum of rate times days over the rows of an item and y its sale,

    sum over items of  w (y log r - (y + 1/v) log(1 + v H))  -  (t - m)' C^-1 (t - m) / 2

    with r the rate at which it sold, t all a, all b, c and log v, and m, C the opinion.

    Parameters
    ----------
    periods : PricePeriods
    kinds : sequence of str
        Every kind of the book, also those without a sale.
    opinion : DemandOpinion, optional
        What holds before data; with no data it is returned as it is.

    Returns
    -------
    Demand

    Notes
    -----
    Where v is 0 this is Poisson regression with exposure, which takes all items of a kind for
    alike. They are not: what was overrated hangs, and is marked down because it hangs, so a fit
    without v believes that marks do little. One without c believes the same where things sell
    slower the longer they hang, for whatever reason. The doubt is that of a normal curve laid
    over the top (Laplace). Elasticities are kept at `LEAST_ELASTICITY` or above.

    Examples
    --------
    >>> demand = learn_demand(PricePeriods.none(), ["shirt"])
    >>> float(demand.rate(0, 1.0).round(4)), float(demand.elasticity[0])
    (0.015, 2.5)
    """
    opinion = opinion or DemandOpinion()
    count = len(kinds)
    learned, doubt = opinion.prior(count)
    if len(periods.days):
        learned, doubt = _most_likely_demand(periods, count, opinion)
    return Demand(
        tuple(kinds),
        learned[:count],
        learned[count : 2 * count],
        learned[2 * count : -1],
        float(np.exp(learned[-1])),
        doubt,
        np.bincount(periods.kind, periods.weights * periods.sold, count).astype(float),
        np.bincount(periods.kind, periods.weights * periods.days, count).astype(float),
        first_tickets_tried(periods, count),
    )


def _most_likely_demand(
    periods: PricePeriods, count: int, opinion: DemandOpinion
) -> tuple[Array, Array]:
    """Most likely (a, b, c, log v) and their doubt."""
    mean, doubt = opinion.prior(count)
    first, item = np.unique(periods.item, return_index=True, return_inverse=True)[1:]
    row, days, place, last = split_by_age(periods.ages, periods.days)
    design = np.zeros((len(row), 2 * count + len(EDGES)))
    design[np.arange(len(row)), periods.kind[row]] = 1.0
    design[np.arange(len(row)), count + periods.kind[row]] = -np.log(periods.ratio[row])
    design[np.arange(len(row)), 2 * count + place] = 1.0
    sold = periods.sold[row] * last.astype(float)
    least = np.full(len(mean), -np.inf)
    least[count : 2 * count], least[-1] = LEAST_ELASTICITY, np.log(EVEN)
    seen = Waits(item[row], design, sold, days, periods.weights[first])
    free = np.ones(len(mean), dtype=bool)
    free[2 * count : -1] = opinion.slowing_doubt > 0 or opinion.age_step > 0
    free[-1] = opinion.unevenness_doubt > 0
    return most_likely(seen, mean, doubt, least, free)


def first_tickets_tried(periods: PricePeriods, count: int) -> Array:
    """Lowest and highest first ticket, over the estimate, that `TRIED` items of a kind had.

    Parameters
    ----------
    periods : PricePeriods
    count : int
        Kinds.

    Returns
    -------
    ndarray, shape (count, 2)
        The estimate itself, (1, 1), where too few were put out to say.
    """
    tried = np.ones((count, 2))
    fresh = periods.ages <= 0
    for kind in range(count):
        ratio = np.sort(periods.ratio[fresh & (periods.kind == kind)])
        if len(ratio) >= 2 * TRIED:
            tried[kind] = ratio[TRIED - 1], ratio[-TRIED]
    return tried
