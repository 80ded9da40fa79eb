"""All that sold and stayed sold: what prices are learned from."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np
from sqlalchemy import Engine, Select, Subquery, func, select
from sqlalchemy.orm import Session

from resale.config.settings import Settings
from resale.garments.measures.warmth import seasons_of
from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.model.columns.terms import Array
from resale.pricing.model.recency import Days, recency_weights
from resale.storage.db.tables import ItemNow
from resale.storage.items.latest_readings import ItemRead, items_read, readings_of
from resale.storage.ledger.effective_events import last_steps


@dataclass(frozen=True)
class SoldItems:
    """Sales, the oldest first; arrays follow `numbers`.

    Attributes
    ----------
    readings : Readings
        As last read, with the season of each sale.
    price : ndarray, shape (n,)
        What each brought, in the shop's currency.
    sold_on : ndarray of datetime64[D], shape (n,)
    left_out : int
        Sales of kinds that the rule book does not have.
    """

    numbers: tuple[str, ...]
    readings: Readings
    price: Array
    sold_on: Days
    left_out: int

    def __len__(self) -> int:
        return len(self.numbers)

    def weights(self, today: date, half_life: float) -> Array:
        """How much each sale still says; see `resale.pricing.model.recency`.

        Parameters
        ----------
        today : date
        half_life : float
            Days after which a sale counts half.

        Returns
        -------
        ndarray, shape (n,)
            1 for a sale of today.
        """
        return recency_weights(self.sold_on, np.datetime64(today), half_life)


def newest_sold(kind: str, count: int) -> Any:
    """Select the items of a kind that sold last.

    Parameters
    ----------
    kind : str
    count : int
        At most so many.

    Returns
    -------
    select of (item id, event id, valuation id)
        The newest first: other rows say that another sale, or another reading, is among them.
    """
    query = select(ItemNow.item_id, ItemNow.event_id, ItemNow.valuation_id)
    query = query.where(ItemNow.what == "sold", ItemNow.kind == kind)
    return query.order_by(ItemNow.day.desc(), ItemNow.event_id.desc()).limit(count)


def sold_count(engine: Engine, book: RuleBook, settings: Settings) -> int:
    """Count the items that `sold_items` would collect.

    Parameters
    ----------
    engine : Engine
    book : RuleBook
    settings : Settings
    """
    query = select(func.count()).where(
        ItemNow.what == "sold",
        ItemNow.kind.in_(list(book.kinds)),
        ItemNow.amount.is_not(None),
        ItemNow.currency.in_(("", settings.currency)),
    )
    with Session(engine) as session:
        return session.scalar(query) or 0


def newest_amounts(engine: Engine, settings: Settings, kind: str, count: int = 5_000) -> list[int]:
    """What the newest sales of a kind brought, in minor units.

    Parameters
    ----------
    engine : Engine
    settings : Settings
        With the shop's currency.
    kind : str
    count : int
        At most so many.
    """
    query = (
        select(ItemNow.amount)
        .where(ItemNow.what == "sold", ItemNow.kind == kind, ItemNow.amount.is_not(None))
        .where(ItemNow.currency.in_(("", settings.currency)))
        .order_by(ItemNow.day.desc(), ItemNow.event_id.desc())
        .limit(count)
    )
    with Session(engine) as session:
        return [int(amount) for amount in session.scalars(query) if amount is not None]


def _sold(last: Subquery, settings: Settings) -> Select[Any]:
    """Select the last steps that are a sale in the shop's currency."""
    return select(last.c.item_id, last.c.day, last.c.amount).where(
        last.c.what == "sold",
        last.c.amount.is_not(None),
        last.c.currency.in_(("", settings.currency)),
    )


def sold_items(
    engine: Engine, book: RuleBook, settings: Settings, only: Select[Any] | None = None
) -> SoldItems:
    """Collect the items that are sold now: a returned one is not, and one sold twice counts once.

    Sales in another currency, from before the shop changed its own, are left out.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    book : RuleBook
        By which they are read; kinds that it has not are left out.
    settings : Settings
        With the shop's currency.
    only : select of ids, optional
        Which items are looked at; all of them where omitted.

    Returns
    -------
    SoldItems
    """
    last = last_steps(only=only)
    query = _sold(last, settings).order_by(last.c.day, last.c.item_id)
    with Session(engine) as session:
        sales = session.execute(query).all()
        read = items_read(session, only)
    known = [(read[sale.item_id], sale) for sale in sales if read[sale.item_id].kind in book.kinds]
    items: list[ItemRead] = [item for item, _ in known]
    readings = readings_of(items, book)
    days = np.array([sale.day for _, sale in known], dtype="datetime64[D]")
    price = np.array([sale.amount for _, sale in known], dtype=float) / 10**settings.money.decimals
    months = [sale.day.month for _, sale in known]
    return SoldItems(
        tuple(item.number for item in items),
        replace(readings, seasons=seasons_of(book, readings, months)),
        price,
        days,
        len(sales) - len(known),
    )
