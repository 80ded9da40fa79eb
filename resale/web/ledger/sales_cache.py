"""All that sold, collected once for as long as nothing happens: pages ask for it often."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

from flask import current_app
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from resale.pricing.valuation.comparables import PastSales
from resale.storage.db.tables import EventRow
from resale.storage.ledger.sold_items import SoldItems, sold_items
from resale.web.core.shop import Shop

_HELD = "resale.sold"


@dataclass(frozen=True)
class SoldNow:
    """What sold, and the same as the prices in use see it."""

    key: tuple[str, int]
    items: SoldItems
    past: PastSales


def sold_now(shop: Shop) -> SoldNow:
    """Collect what sold, anew only where something happened or other prices hold."""
    with Session(shop.records) as session:
        last = session.scalar(select(func.max(EventRow.id))) or 0
    key = (shop.model_id, last)
    held = cast("SoldNow | None", current_app.extensions.get(_HELD))
    if held is not None and held.key == key and held.past.valuer is shop.valuer:
        return held
    items = sold_items(shop.records, shop.book, shop.settings)
    found = SoldNow(key, items, PastSales(shop.valuer, items.readings, items.price, items.sold_on))
    current_app.extensions[_HELD] = found
    return found
