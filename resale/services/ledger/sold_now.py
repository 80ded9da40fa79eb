"""What sold, collected once for as long as nothing happens: pages ask for it often."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from resale.pricing.valuation.comparables import PastSales
from resale.services.shop import Shop
from resale.storage.db.tables import EventRow
from resale.storage.ledger.sold_items import SoldItems, newest_sold, sold_items

# Among so many last sales of a kind there are near ones, and older ones count as further off
# anyway; so a page does not grow with all that a shop ever sold.
NEWEST = 5_000
_ALL, _NEAR = "sold", "sold of a kind"


@dataclass(frozen=True)
class SoldNow:
    """What sold, and the same as the prices in use see it.

    Attributes
    ----------
    last : int
        Id of the last event that was seen.
    """

    last: int
    items: SoldItems
    past: PastSales


def sold_now(shop: Shop) -> SoldNow:
    """Collect what sold, anew only where something happened or other prices hold."""
    last = _last(shop)
    found = cast("SoldNow | None", shop.memory.get(_ALL))
    if found is None or found.last != last:
        shop.memory[_ALL] = found = _seen(
            shop, last, sold_items(shop.records, shop.book, shop.settings)
        )
    return found


def sold_lately(shop: Shop, kind: str) -> SoldNow:
    """Collect the newest sales of one kind, as `sold_now` does those of all.

    Parameters
    ----------
    shop : Shop
    kind : str

    Returns
    -------
    SoldNow
    """
    last = _last(shop)
    known = cast("dict[str, SoldNow]", shop.memory.setdefault(_NEAR, {}))
    found = known.get(kind)
    if found is None or found.last != last:
        only = newest_sold(kind, NEWEST)
        items = sold_items(shop.records, shop.book, shop.settings, only)
        known[kind] = found = _seen(shop, last, items)
    return found


def _last(shop: Shop) -> int:
    with Session(shop.records) as session:
        return session.scalar(select(func.max(EventRow.id))) or 0


def _seen(shop: Shop, last: int, items: SoldItems) -> SoldNow:
    return SoldNow(last, items, PastSales(shop.valuer, items.readings, items.price, items.sold_on))
