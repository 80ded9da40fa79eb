"""All that sold, collected once for as long as nothing happens: pages ask for it often."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from resale.pricing.valuation.comparables import PastSales
from resale.services.shop import Shop
from resale.storage.db.tables import EventRow
from resale.storage.ledger.sold_items import SoldItems, sold_items

_MEMORY = "sold"


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
    with Session(shop.records) as session:
        last = session.scalar(select(func.max(EventRow.id))) or 0
    found = cast("SoldNow | None", shop.memory.get(_MEMORY))
    if found is not None and found.last == last:
        return found
    items = sold_items(shop.records, shop.book, shop.settings)
    past = PastSales(shop.valuer, items.readings, items.price, items.sold_on)
    shop.memory[_MEMORY] = found = SoldNow(last, items, past)
    return found
