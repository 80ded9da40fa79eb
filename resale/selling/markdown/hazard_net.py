"""What not selling teaches: the longer an item hangs, the likelier it is one of the slow ones.

All that matters of the past is the hazard an item has outlived: rate times days, summed over its
prices. The plan is worked out on a net of such hazards and read off between its knots.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from resale.pricing.model.columns.terms import Array
from resale.selling.markdown.demand import Demand
from resale.selling.markdown.outlook import Goods
from resale.selling.markdown.price_schedule import Period, Schedule, best_prices
from resale.selling.markdown.terms import SellingTerms

KNOTS = 24


@dataclass(frozen=True)
class HazardNet:
    """Knots of hazard, close together where little has been outlived.

    Attributes
    ----------
    most : float
        Hazard at the last knot.
    """

    most: float

    @property
    def knots(self) -> Array:
        """Hazards, shape (KNOTS,), rising from 0."""
        return np.asarray(np.expm1(np.linspace(0.0, np.log1p(self.most), KNOTS)))

    def read(self, worth: Array, hazard: Array) -> Array:
        """Read worths between the knots.

        Parameters
        ----------
        worth : ndarray, shape (..., KNOTS, prices)
        hazard : ndarray, shape (..., m, prices)
            With the leading axes of `worth`.

        Returns
        -------
        ndarray, shape (..., m, prices)
        """
        place = np.log1p(hazard) * ((KNOTS - 1) / np.log1p(self.most))
        lower = np.clip(place.astype(np.intp), 0, KNOTS - 2)
        part = place - lower
        # Counted in the flat array: NumPy's take_along_axis writes its indices anew at each call.
        count = worth.shape[-1]
        rows = np.arange(worth[..., 0, 0].size).reshape(*worth.shape[:-2], 1, 1)
        at = (rows * KNOTS + lower) * count + np.arange(count)
        below, above = worth.take(at), worth.take(at + count)
        return np.asarray(below + part * (above - below))


@dataclass(frozen=True)
class Outset:
    """Items, the tickets to choose from, and all that the choice rests on.

    Attributes
    ----------
    price : ndarray, shape (n, ..., prices)
        Rising along the last axis.
    opening : ndarray of bool, shape (prices,) or (n, prices)
        Which of them the first period may ask.
    """

    demand: Demand
    goods: Goods
    terms: SellingTerms
    price: Array
    opening: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]

    def tickets(self) -> Array:
        """Tickets of the best plan, shape (n, ..., periods).

        The net gives the worth of going on; the tickets are then chosen from the start forwards
        at the hazard really outlived, so that only the worth is read between knots, never the
        price.
        """
        rates = [self._rates(period) for period in range(self.terms.periods)]
        most = sum(float(rate.max()) for rate in rates) * self.terms.period_days
        net = HazardNet(max(most, 1e-6))
        schedule = self._solved(net, rates)
        lead = self.price.shape[:-1]
        hazard, last = np.zeros(lead), np.full(lead, self.price.shape[-1])
        stopped = np.zeros(lead, dtype=bool)
        asked = []
        for period, rate in enumerate(rates):
            now = self._period(rate, hazard[..., None])
            later = self._later(net, rate, hazard[..., None, None])
            worth = now.chance * now.gain - now.cost
            worth += (1 - now.chance) * later(schedule.worths[period + 1])[0, ..., 0, 0, :]
            barred = np.arange(self.price.shape[-1]) > last[..., None]
            if period == 0:
                barred = barred | ~self.opening
            worth = np.where(barred, -np.inf, worth)
            last = worth.argmax(axis=-1)
            if self.terms.early_pass_on:
                stopped |= worth.max(axis=-1) < self.terms.pass_on_value
            asked.append(np.where(stopped, np.nan, _taken(self.price, last)))
            hazard = hazard + _taken(rate, last) * self.terms.period_days
        return np.stack(asked, axis=-1)

    def _rates(self, period: int) -> Array:
        return self.goods.rates(self.demand, self.price, period, self.terms.period_days)

    def _solved(self, net: HazardNet, rates: list[Array]) -> Schedule:
        prior_mean = net.knots[:, None]
        shape = (*self.price.shape[:-1], KNOTS, self.price.shape[-1])
        price = np.broadcast_to(self.price[..., None, :], shape)
        known: dict[int, Period] = {}

        def period(number: int) -> Period:
            # Where neither season nor age counts, the first answer serves for all periods.
            key = 0 if self.goods.pace is None and not self.demand.ageing.any() else number
            if key not in known:
                rate = rates[number][..., None, :]
                plain = self._period(rate, prior_mean)
                later = self._later(net, rates[number], prior_mean)
                known[key] = Period(plain.chance, plain.gain, plain.cost, later)
            return known[key]

        return best_prices(
            price,
            period,
            self.terms.periods,
            end=self.terms.pass_on_value,
            may_stop=self.terms.early_pass_on,
            opening=self.opening if self.opening.ndim == 1 else self.opening[:, None, None, :],
        )

    def _period(self, rate: Array, before: Array) -> Period:
        """Chance, gain and cost at each price, for hazards outlived before."""
        days, demand = self.terms.period_days, self.demand
        lead = [1] * (rate.ndim - 1)
        rail = self.goods.rail_cost(self.terms).reshape(-1, *lead)
        shop_share = 1.0 - self.goods.theirs(self.terms).reshape(-1, *lead)
        price = self.price if rate.ndim == self.price.ndim else self.price[..., None, :]
        return Period(
            demand.chance(rate, days, before),
            shop_share * price,
            rail * demand.hangs(rate, days, before),
        )

    def _later(self, net: HazardNet, rate: Array, before: Array) -> Callable[[Array], Array]:
        """Worth of going on unsold, from the worth at the knots."""
        count = self.price.shape[-1]
        hazard = rate[..., None, :] * self.terms.period_days + before

        def later(worth: Array) -> Array:
            return net.read(worth[..., :count], hazard[None])[..., None, :]

        return later


def _taken(values: Array, place: np.ndarray[tuple[int, ...], np.dtype[np.intp]]) -> Array:
    rows = np.arange(place.size).reshape(place.shape)
    return np.asarray(values.take(rows * values.shape[-1] + place))
