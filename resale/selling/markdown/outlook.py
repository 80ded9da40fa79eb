"""What comes of a row of ticket prices: chance of a sale, days on the rail, who gets what."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from resale.pricing.model.columns.terms import Array
from resale.selling.markdown.demand import Demand
from resale.selling.markdown.terms import SellingTerms


@dataclass(frozen=True)
class Goods:
    """Items about to be priced.

    Attributes
    ----------
    kind : ndarray of int, shape (n,)
        Place among the kinds that the demand was learned for.
    estimate : ndarray, shape (n,)
        Median sale price (money).
    width : ndarray, shape (n,), optional
        Centimetres of rail that the item takes up.
    pace : ndarray, shape (n, periods), optional
        Factor on the sale rate in each period, such as the season's; 1 unless given.
    share : ndarray, shape (n,), optional
        The consignor's share of each, as it was agreed; that of the terms unless given.
    """

    kind: npt.NDArray[np.intp]
    estimate: Array
    width: Array | None = None
    pace: Array | None = None
    share: Array | None = None

    def __len__(self) -> int:
        return len(self.estimate)

    def rail_cost(self, terms: SellingTerms) -> Array:
        """Cost of each item's day on the rail, shape (n,)."""
        width = np.zeros(len(self)) if self.width is None else self.width
        return terms.rail_cost_item + terms.rail_cost_cm * width

    def theirs(self, terms: SellingTerms) -> Array:
        """The consignor's share of each item, shape (n,)."""
        return np.full(len(self), terms.consignor_share) if self.share is None else self.share

    def rates(self, demand: Demand, ticket: Array, period: int, days: float) -> Array:
        """Sales a day of things put out now, at these tickets in a price period.

        Parameters
        ----------
        demand : Demand
        ticket : ndarray, shape (n, ...)
        period : int
            From 0.
        days : float
            Days of a period.

        Returns
        -------
        ndarray, shape of `ticket`
        """
        return self.rates_at(demand, ticket, period, demand.aged(period * days, days))

    def rates_at(self, demand: Demand, ticket: Array, period: int, aged: Array | float) -> Array:
        """Sales a day in a price period, with the factor of age given.

        Parameters
        ----------
        demand : Demand
        ticket : ndarray, shape (n, ...)
        period : int
        aged : ndarray, shape (n,), or float
            See `Demand.aged`.

        Returns
        -------
        ndarray, shape of `ticket`
        """
        shape = (len(self), *[1] * (ticket.ndim - 1))
        rate = demand.rate(self.kind.reshape(shape), ticket / self.estimate.reshape(shape))
        aged = np.asarray(aged)
        rate = rate * (aged.reshape(shape) if aged.ndim else aged)
        return rate if self.pace is None else rate * self.pace[:, period].reshape(shape)

    def rows(self, chosen: slice) -> Goods:
        """Some of the items."""
        parts = (self.width, self.pace, self.share)
        more = (None if part is None else part[chosen] for part in parts)
        return Goods(self.kind[chosen], self.estimate[chosen], *more)


@dataclass(frozen=True)
class Outlook:
    """What rows of tickets lead to, on average. Money is in the shop's currency.

    Leading axes are n items, and several rows of tickets for each where so asked.

    Attributes
    ----------
    tickets : ndarray, shape (n, ..., periods)
        Price in each period; NaN once the item has been passed on.
    sold_by : ndarray, shape (n, ..., periods)
        Chance that it has sold by the end of each period.
    days : ndarray, shape (n, ...)
        Expected days on the rail.
    shop : ndarray, shape (n, ...)
        Expected net for the shop: its share, less the rail, plus the pass-on value if unsold.
    consignor : ndarray, shape (n, ...)
        Expected share for whoever brought it.
    rail : ndarray, shape (n, ...)
        Expected cost of the rail, already taken off in `shop`.
    """

    tickets: Array
    sold_by: Array
    days: Array
    shop: Array
    consignor: Array
    rail: Array

    @property
    def passed_on(self) -> Array:
        """Chance that it is passed on unsold, shape (n, ...)."""
        return 1 - self.sold_by[..., -1]

    @property
    def marks(self) -> Array:
        """Share off the first ticket in each period, shape of `tickets`."""
        return 1 - self.tickets / self.tickets[..., :1]


def follow(demand: Demand, goods: Goods, tickets: Array, terms: SellingTerms) -> Outlook:
    """Work out what rows of tickets lead to.

    Parameters
    ----------
    demand : Demand
    goods : Goods
    tickets : ndarray, shape (n, ..., periods)
        NaN from the period on in which the item is passed on.
    terms : SellingTerms

    Returns
    -------
    Outlook
    """
    left, days, taken, hazard = (
        np.full(tickets.shape[:-1], start) for start in (1.0, 0.0, 0.0, 0.0)
    )
    sold_by = np.empty(tickets.shape)
    for period in range(tickets.shape[-1]):
        asked = tickets[..., period]
        hangs = ~np.isnan(asked)
        price = np.where(hangs, asked, 1.0)
        rate = np.where(hangs, goods.rates(demand, price, period, terms.period_days), 0.0)
        chance = demand.chance(rate, terms.period_days, hazard)
        taken += left * chance * price
        days += np.where(hangs, left * demand.hangs(rate, terms.period_days, hazard), 0.0)
        left = left * (1 - chance)
        hazard += rate * terms.period_days
        sold_by[..., period] = 1 - left
    each = (-1, *[1] * (days.ndim - 1))
    rail = goods.rail_cost(terms).reshape(each) * days
    theirs = goods.theirs(terms).reshape(each) * taken
    return Outlook(
        tickets,
        sold_by,
        days,
        taken - theirs - rail + left * terms.pass_on_value,
        theirs,
        rail,
    )
