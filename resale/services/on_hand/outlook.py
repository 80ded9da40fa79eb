"""What is planned for each item on hand, beside what the shop's habit would do."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from resale.selling.markdown.demand import Demand, learn_demand
from resale.selling.markdown.exposure import PricePeriods
from resale.selling.markdown.outlook import Goods
from resale.selling.markdown.plan import Comparison, compare
from resale.selling.markdown.rest_of_plan import Hung, Rest, rest_of
from resale.selling.markdown.terms import SellingTerms
from resale.selling.markdown.trial import Trial, try_plan
from resale.selling.rail.balance import rail_width
from resale.services.on_hand.stock import Hanging, Stock
from resale.services.shop import Shop
from resale.storage.ledger.informative_periods import telling_periods
from resale.storage.ledger.price_periods import demand_periods

# Trials take as long as a plan, and the same ones are asked for again by every page.
_TRIALS: dict[bytes, Trial] = {}
_REMEMBERED = 8


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


def demand_of(shop: Shop, today: date) -> Demand:
    """Learn how fast things sell."""
    return learn_demand(_hung(shop, today), list(shop.book.kinds))


def _hung(shop: Shop, today: date) -> PricePeriods:
    return telling_periods(shop.records, demand_periods(shop.records, shop.valuer, today))


def _trial(shop: Shop, hung: PricePeriods, goods: Goods) -> Trial:
    """Try the plan against the last sales, anew only where something new was seen."""
    terms, tickets = SellingTerms.of(shop.settings), shop.terms
    seen = hashlib.sha256(f"{terms} {tickets}".encode())
    for part in (hung.item, hung.ratio, hung.days, hung.sold, goods.kind, goods.estimate):
        seen.update(part.tobytes())
    key = seen.digest()
    if key not in _TRIALS:
        _TRIALS[key] = try_plan(hung, list(shop.book.kinds), goods, terms, tickets)
        for oldest in list(_TRIALS)[:-_REMEMBERED]:
            _TRIALS.pop(oldest, None)
    return _TRIALS[key]


def goods_of(shop: Shop, stock: Stock) -> Goods:
    """Items as plans know them."""
    width = np.array([rail_width(item.kind, shop.settings.rail_widths) for item in stock.items])
    return Goods(stock.readings.kinds, stock.estimate / 10**shop.money.decimals, width)


def outlook_of(shop: Shop, stock: Stock, today: date) -> RailOutlook:
    """Plan every item on hand."""
    terms, minor = SellingTerms.of(shop.settings), 10**shop.money.decimals
    seen, goods = _hung(shop, today), goods_of(shop, stock)
    demand, trial = learn_demand(seen, list(shop.book.kinds)), _trial(shop, seen, goods)
    compared = trial.offered(compare(demand, goods, terms, shop.terms))
    fresh = compared.plan.tickets * minor
    tickets, period, hung = fresh.copy(), np.zeros(len(stock), int), np.zeros(len(stock))
    for row, item in enumerate(stock.items):
        out = stock.hanging.get(item.number)
        if item.state.where == "on_rail" and out is not None:
            tickets[row] = _agreed(out, fresh[row])
            hung[row] = max((today - out.out).days, 0)
            period[row] = int(hung[row] // terms.period_days)
    asked = np.array([np.nan if i.state.price is None else i.state.price for i in stock.items])
    opening = np.where(np.isnan(fresh[:, 0]), stock.ticket, fresh[:, 0])
    price = np.where(np.isnan(asked), opening, asked)
    found = RailOutlook(compared, trial, tickets, period, price, None)  # type: ignore[arg-type]
    return replace(found, rest=_rest(demand, goods, found, hung, shop))


def _agreed(out: Hanging, fresh: np.ndarray) -> np.ndarray:
    if len(out.plan) != len(fresh):
        return fresh
    return np.array([np.nan if ticket is None else ticket for ticket in out.plan])


def _rest(demand: Demand, goods: Goods, found: RailOutlook, hung: np.ndarray, shop: Shop) -> Rest:
    """Look ahead from today: the ticket it bears now, then the marks that are planned."""
    terms, minor = SellingTerms.of(shop.settings), 10**shop.money.decimals
    places = np.arange(terms.periods)
    ahead = found.period[:, None] + places
    inside = np.minimum(ahead, terms.periods - 1)
    planned = np.take_along_axis(found.tickets, inside, axis=1)
    planned[ahead >= terms.periods] = np.nan
    planned = np.minimum(planned, found.price[:, None])
    planned[:, 0] = found.price
    behind = Hung.at(demand, goods, found.price / minor, hung)
    left = terms.period_days - hung % terms.period_days
    return rest_of(demand, goods, planned / minor, left, behind, terms)
