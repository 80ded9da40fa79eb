"""What is planned for each item on hand, beside what the shop's habit would do."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from sqlalchemy.orm import Session

from resale.selling.markdown.demand import Demand
from resale.selling.markdown.outlook import Goods
from resale.selling.markdown.plan import Comparison, compare
from resale.selling.markdown.rest_of_plan import Hung, Rest, rest_of
from resale.selling.markdown.terms import SellingTerms
from resale.selling.markdown.trial import Trial
from resale.selling.rail.balance import rail_width
from resale.services.on_hand.stock import Hanging, Stock
from resale.services.shop import Shop
from resale.services.standing.desk import desk_of
from resale.storage.settlement.agreed_shares import agreed_on_hand


@dataclass(frozen=True)
class RailOutlook:
    """Plan, habit and what is still to come, item by item in the order of the stock.

    Attributes
    ----------
    compared : Comparison
        The plan as far as its trial lets it be offered; else the habit stands in both places.
    tickets : ndarray of float, shape (n, periods)
        Planned tickets in minor units: those agreed when it was put out, else today's plan.
    period : ndarray of int, shape (n,)
        Price period that each is in; 0 in the back room.
    price : ndarray of float, shape (n,)
        What its ticket says, or would say if it were put out now; minor units.
    """

    compared: Comparison
    trial: Trial
    tickets: np.ndarray
    period: np.ndarray
    price: np.ndarray
    rest: Rest


def goods_of(shop: Shop, stock: Stock) -> Goods:
    """Items as plans know them.

    Parameters
    ----------
    shop : Shop
        Whose settings say how wide a kind hangs, and whose records what was agreed.
    stock : Stock
    """
    width = np.array([rail_width(item.kind, shop.settings.rail_widths) for item in stock.items])
    estimate = stock.estimate / 10**shop.money.decimals
    share = agreed_shares(shop, stock)
    return Goods(stock.readings.kinds, estimate, width, share=share)


def agreed_shares(shop: Shop, stock: Stock) -> np.ndarray:
    """The consignor's share of each item, as it was agreed; the shop's own where nobody did.

    Parameters
    ----------
    shop : Shop
    stock : Stock

    Returns
    -------
    ndarray of float, shape (n,)
        From 0 to 1.
    """
    with Session(shop.records) as session:
        agreed = agreed_on_hand(session, [item.number for item in stock.items])
    own = float(shop.settings.consignor_share)
    return np.array([agreed.get(item.number, own) for item in stock.items], dtype=float)


def outlook_of(shop: Shop, stock: Stock, today: date) -> RailOutlook:
    """Plan every item on hand.

    Parameters
    ----------
    shop : Shop
    stock : Stock
    today : date
    """
    terms, minor = SellingTerms.of(shop.settings), 10**shop.money.decimals
    desk, goods = desk_of(shop, today), goods_of(shop, stock)
    demand, compared = (
        desk.demand,
        desk.trial.offered(compare(desk.demand, goods, terms, shop.terms)),
    )
    fresh = compared.plan.tickets * minor
    tickets, period = fresh.copy(), np.zeros(len(stock), int)
    hung, in_plan = np.zeros(len(stock)), np.zeros(len(stock))
    for row, item in enumerate(stock.items):
        out = stock.hanging.get(item.number)
        if item.state.where == "on_rail" and out is not None:
            tickets[row] = _agreed(out, fresh[row])
            hung[row] = max((today - out.out).days, 0)
            in_plan[row] = max((today - out.begun).days, 0)
            period[row] = int(in_plan[row] // terms.period_days)
    price = np.array([one.price for one in stock.standings], dtype=float)
    waits = np.array([not one.on_rail for one in stock.standings], dtype=bool)
    # What it would go out at is decided already: no later mark of its plan may lie above it.
    tickets[waits] = np.minimum(tickets[waits], price[waits, None])
    tickets[waits, 0] = price[waits]
    found = RailOutlook(compared, desk.trial, tickets, period, price, None)  # type: ignore[arg-type]
    return replace(found, rest=_rest(demand, goods, found, (hung, in_plan), shop, stock))


def _agreed(out: Hanging, fresh: np.ndarray) -> np.ndarray:
    if len(out.plan) != len(fresh):
        return fresh
    return np.array([np.nan if ticket is None else ticket for ticket in out.plan])


def _rest(
    demand: Demand,
    goods: Goods,
    found: RailOutlook,
    days: tuple[np.ndarray, np.ndarray],
    shop: Shop,
    stock: Stock,
) -> Rest:
    """Look ahead from today: the ticket it bears now, then the marks that are planned.

    `days` are those on the rail, and those since its periods began.
    """
    hung, in_plan = days
    terms, minor = SellingTerms.of(shop.settings), 10**shop.money.decimals
    places = np.arange(terms.periods)
    ahead = found.period[:, None] + places
    inside = np.minimum(ahead, terms.periods - 1)
    planned = np.take_along_axis(found.tickets, inside, axis=1)
    planned[ahead >= terms.periods] = np.nan
    planned = np.minimum(planned, found.price[:, None])
    planned[:, 0] = found.price
    behind = Hung.at(demand, goods, found.price / minor, hung)
    left = terms.period_days - in_plan % terms.period_days
    return rest_of(demand, goods, planned / minor, left, behind, terms)
