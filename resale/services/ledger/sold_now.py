"""What sold last, collected once for as long as it stays the same: pages ask for it often."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, cast

from sqlalchemy import select
from sqlalchemy.orm import Session

from resale.pricing.valuation.comparables import PastSales
from resale.services.shop import Shop
from resale.storage.db.tables import ItemNow
from resale.storage.ledger.item_now import looked_at
from resale.storage.ledger.sold_items import SoldItems, newest_sold, sold_items

# Among so many last sales of a kind there are near ones, and older ones count as further off
# anyway; so a page does not grow with all that a shop ever sold.
NEWEST = 5_000
_JUDGED, _NEAR = "sold", "sold of a kind"


@dataclass(frozen=True)
class SoldNow:
    """What sold, and the same as the prices in use see it.

    Attributes
    ----------
    lines : sequence of (item id, event id, valuation id)
        The same as long as these sales and their readings are.
    """

    lines: Sequence[Any]
    items: SoldItems
    past: PastSales


def judged_lines(shop: Shop) -> Sequence[Any]:
    """Ids of the sales by which the Evidence judges, with the event and reading of each."""
    query = select(ItemNow.item_id, ItemNow.event_id, ItemNow.valuation_id)
    query = query.where(ItemNow.what == "sold").order_by(ItemNow.day, ItemNow.event_id)
    only = looked_at(shop.records)
    with Session(shop.records) as session:
        found = query if only is None else query.where(ItemNow.item_id.in_(only))
        return session.execute(found).all()


def sold_judged(shop: Shop) -> SoldItems:
    """Collect the sales by which the Evidence judges: all, or those of some items of a large shop.

    They are kept until `judged_lines` says others.
    """
    lines = judged_lines(shop)
    found = cast("tuple[Sequence[Any], SoldItems] | None", shop.memory.get(_JUDGED))
    if found is None or found[0] != lines:
        sold = sold_items(shop.records, shop.book, shop.settings, looked_at(shop.records))
        shop.memory[_JUDGED] = found = (lines, sold)
    return found[1]


def sold_lately(shop: Shop, kind: str) -> SoldNow:
    """Collect the newest sales of one kind, anew only where they are others or prices are.

    Parameters
    ----------
    shop : Shop
    kind : str

    Returns
    -------
    SoldNow
    """
    with Session(shop.records) as session:
        lines = session.execute(newest_sold(kind, NEWEST)).all()
    known = cast("dict[str, SoldNow]", shop.memory.setdefault(_NEAR, {}))
    found = known.get(kind)
    if found is None or found.lines != lines:
        only = select(newest_sold(kind, NEWEST).subquery().c.item_id)
        items = sold_items(shop.records, shop.book, shop.settings, only)
        past = PastSales(shop.valuer, items.readings, items.price, items.sold_on)
        known[kind] = found = SoldNow(lines, items, past)
    return found
