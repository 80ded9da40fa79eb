"""What deciding rests on: prices, terms, and how fast things sell. It needs no records."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from typing import cast

import numpy as np
from sqlalchemy import Engine

from resale.config.settings import Settings
from resale.garments.rulebook.readings import one_reading
from resale.pricing.valuation.valuer import Valuer
from resale.selling.markdown.demand import Demand, learn_demand
from resale.selling.markdown.exposure import PricePeriods
from resale.selling.markdown.outlook import Goods
from resale.selling.markdown.terms import SellingTerms
from resale.selling.markdown.trial import UNTRIED, Trial, enough_hung, try_plan
from resale.selling.rail.balance import rail_width
from resale.services.shop import Shop
from resale.storage.ledger.informative_periods import telling_periods
from resale.storage.ledger.item_now import looked_at
from resale.storage.ledger.price_periods import demand_periods

_MEMORY = "desk"
# What the plan is tried on: average things of each kind, cheap ones and dear ones.
AROUND = (0.5, 1.0, 2.0)


@dataclass(frozen=True)
class Desk:
    """Prices, terms and demand by which everything of a day is decided.

    Attributes
    ----------
    hung : PricePeriods
        What the demand was learned from.
    """

    valuer: Valuer
    settings: Settings
    demand: Demand
    hung: PricePeriods

    @cached_property
    def terms(self) -> SellingTerms:
        """How the shop sells."""
        return replace(SellingTerms.of(self.settings), money=self.settings.money)

    @cached_property
    def trial(self) -> Trial:
        """Try the plan on ordinary things of every kind: whether it is offered to any of them."""
        if not enough_hung(self.hung):
            return UNTRIED
        kinds = tuple(self.valuer.book.kinds)
        blank = [one_reading(self.valuer.book, kind, {}) for kind in kinds]
        average = np.array([self.valuer.value(one).estimate[0] for one in blank])
        width = np.array([rail_width(kind, self.settings.rail_widths) for kind in kinds])
        places = np.tile(np.arange(len(kinds)), len(AROUND))
        estimates = np.outer(AROUND, average).ravel()
        goods = Goods(places, estimates, np.tile(width, len(AROUND)))
        return try_plan(self.hung, kinds, goods, self.terms, self.valuer.terms)


def desk_of(shop: Shop, today: date) -> Desk:
    """Give the desk of a day: how fast things sell is learned once, so all tickets rest on it.

    Parameters
    ----------
    shop : Shop
    today : date
        Of which it is.
    """
    known = cast("tuple[date, Desk] | None", shop.memory.get(_MEMORY))
    if known is not None and known[0] == today:
        return known[1]
    desk = desk_over(shop.valuer, shop.settings, shop.records, today)
    shop.memory[_MEMORY] = (today, desk)
    return desk


def forget_desk(shop: Shop) -> None:
    """Learn how fast things sell anew when it is asked next: something was said of past days."""
    shop.memory.pop(_MEMORY, None)


def desk_over(valuer: Valuer, settings: Settings, records: Engine | None, today: date) -> Desk:
    """Make the desk of a day from records; without any, by what is believed before a sale.

    Parameters
    ----------
    valuer : Valuer
    settings : Settings
    records : Engine or None
    today : date
        The shop's own day.
    """
    hung = PricePeriods.none()
    if records is not None:
        hung = telling_periods(records, demand_periods(records, valuer, today), looked_at(records))
    return Desk(valuer, settings, learn_demand(hung, list(valuer.book.kinds)), hung)
