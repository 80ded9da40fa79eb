"""What is still to come of items, some of which hang already: chance, days and net from today."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from resale.pricing.model.terms import Array
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


def rest_of(
    demand: Demand,
    goods: Goods,
    tickets: Array,
    first_days: Array,
    before: Array,
    terms: SellingTerms,
) -> Rest:
    """Work out what is still to come.

    Parameters
    ----------
    tickets : ndarray, shape (n, periods)
        Price in what is left of this period, then in each later one; NaN once passed on.
    first_days : ndarray, shape (n,)
        Days left of this period.
    before : ndarray, shape (n,)
        Rate times days that each item hung already: the longer, the slower it has shown itself.
    """
    left = np.ones(len(goods))
    days, taken, hazard = np.zeros(len(goods)), np.zeros(len(goods)), before.copy()
    first = np.zeros(len(goods))
    for period in range(tickets.shape[1]):
        asked = tickets[:, period]
        hangs = ~np.isnan(asked)
        price = np.where(hangs, asked, 1.0)
        length = first_days if period == 0 else np.full(len(goods), terms.period_days)
        rate = np.where(hangs, goods.rates(demand, price, period), 0.0)
        chance = demand.chance(rate, length, hazard)
        taken += left * chance * price
        days += np.where(hangs, left * demand.hangs(rate, length, hazard), 0.0)
        left = left * (1 - chance)
        hazard = hazard + rate * length
        if period == 0:
            first = 1 - left
    net = terms.shop_share * taken - goods.rail_cost(terms) * days + left * terms.pass_on_value
    return Rest(first, 1 - left, days, net, terms.consignor_share * taken)
