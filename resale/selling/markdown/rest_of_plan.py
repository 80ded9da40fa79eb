"""What is still to come of items, some of which hang already: chance, days and net from today."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from resale.pricing.model.columns.terms import Array
from resale.selling.markdown.demand import Demand
from resale.selling.markdown.outlook import Goods
from resale.selling.markdown.terms import SellingTerms


@dataclass(frozen=True)
class Rest:
    """What is still to come, on average. Money in the shop's currency, shape (n,) each.

    Attributes
    ----------
    next_mark : ndarray
        Chance of a sale by the next look at the price.
    ever : ndarray
        Chance of a sale before it is passed on.
    days : ndarray
        Expected days on the rail from now.
    shop, consignor : ndarray
        Expected net of both from now on.
    """

    next_mark: Array
    ever: Array
    days: Array
    shop: Array
    consignor: Array


@dataclass(frozen=True)
class Hung:
    """What items have behind them, shape (n,) each.

    Attributes
    ----------
    days : ndarray
        Days on the rail.
    hazard : ndarray
        Rate times days: the more was outlived, the slower an item has shown itself.
    """

    days: Array
    hazard: Array

    @classmethod
    def at(cls, demand: Demand, goods: Goods, ticket: Array, days: Array) -> Hung:
        """Take it that items hung all their days at one ticket.

        Parameters
        ----------
        demand : Demand
        goods : Goods
        ticket, days : ndarray, shape (n,)

        Returns
        -------
        Hung
        """
        rate = demand.rate(goods.kind, ticket / goods.estimate)
        return cls(days, np.asarray(rate * demand.aged(0.0, days) * days))


def rest_of(
    demand: Demand,
    goods: Goods,
    tickets: Array,
    first_days: Array,
    hung: Hung,
    terms: SellingTerms,
) -> Rest:
    """Work out what is still to come.

    Parameters
    ----------
    demand : Demand
    goods : Goods
    tickets : ndarray, shape (n, periods)
        Price in what is left of this period, then in each later one; NaN once passed on.
    first_days : ndarray, shape (n,)
        Days left of this period.
    hung : Hung
        What each item has behind it.
    terms : SellingTerms

    Returns
    -------
    Rest
    """
    left = np.ones(len(goods))
    days, taken, hazard = np.zeros(len(goods)), np.zeros(len(goods)), hung.hazard.copy()
    first, age = np.zeros(len(goods)), hung.days.copy()
    for period in range(tickets.shape[1]):
        asked = tickets[:, period]
        hangs = ~np.isnan(asked)
        price = np.where(hangs, asked, 1.0)
        length = first_days if period == 0 else np.full(len(goods), terms.period_days)
        aged = demand.aged(age, length)
        rate = np.where(hangs, goods.rates_at(demand, price, period, aged), 0.0)
        chance = demand.chance(rate, length, hazard)
        taken += left * chance * price
        days += np.where(hangs, left * demand.hangs(rate, length, hazard), 0.0)
        left = left * (1 - chance)
        hazard, age = hazard + rate * length, age + length
        if period == 0:
            first = 1 - left
    theirs = goods.theirs(terms) * taken
    net = taken - theirs - goods.rail_cost(terms) * days + left * terms.pass_on_value
    return Rest(first, 1 - left, days, net, theirs)
