"""The list of items read on from where the last page ended, whatever was saved meanwhile."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Engine, func, or_, select
from sqlalchemy.orm import Session

from resale.storage.db.consignor_tables import BroughtRow, ConsignorRow
from resale.storage.db.tables import ItemRow, ValuationRow
from resale.storage.db.text_search import contains
from resale.storage.db.utc import told
from resale.storage.ledger.effective_events import last_steps
from resale.storage.ledger.transitions import Where

_LEADS_TO: Mapping[str, Where] = {
    "taken_in": "back_room",
    "put_out": "on_rail",
    "sold": "sold",
    "returned": "back_room",
    "withdrawn": "back_room",
    "passed_on": "gone",
}
"""Where each event that moves an item leaves it."""


@dataclass(frozen=True)
class ItemFilter:
    """Which items are wanted; nothing asked is all.

    Attributes
    ----------
    words : str
        Found in number, label, size or note, whatever the capitals.
    consignor : str
        Number of whoever brought it.
    """

    words: str = ""
    kind: str = ""
    where: Where | None = None
    consignor: str = ""


ALL_ITEMS = ItemFilter()


@dataclass(frozen=True)
class ListedItem:
    """An item with what its newest valuation said. Money in minor units."""

    id: int
    number: str
    kind: str
    label: str
    size: str
    note: str
    made_at: datetime
    estimate: int
    ticket: int
    currency: str
    tier: str
    route: str
    where: Where
    consignor: str | None


def items_before(
    engine: Engine, before: int | None, limit: int, wanted: ItemFilter = ALL_ITEMS
) -> tuple[ListedItem, ...]:
    """List items that were valued here, the newest first.

    Parameters
    ----------
    before : int or None
        Only items older than the one of this id.
    limit : int
        At most so many.
    wanted : ItemFilter
        Only such items.
    """
    moved = last_steps(tuple(_LEADS_TO))
    newest = select(func.max(ValuationRow.id)).group_by(ValuationRow.item_id)
    query = (
        select(ItemRow, ValuationRow, moved.c.what, ConsignorRow.number)
        .join(ValuationRow, ValuationRow.item_id == ItemRow.id)
        .outerjoin(moved, moved.c.item_id == ItemRow.id)
        .outerjoin(BroughtRow, BroughtRow.item_id == ItemRow.id)
        .outerjoin(ConsignorRow, ConsignorRow.id == BroughtRow.consignor_id)
        .where(ValuationRow.id.in_(newest))
        .order_by(ItemRow.id.desc())
        .limit(limit)
    )
    if before is not None:
        query = query.where(ItemRow.id < before)
    if wanted.words:
        places = (ItemRow.number, ItemRow.label, ItemRow.size, ItemRow.note)
        query = query.where(or_(*(contains(place, wanted.words) for place in places)))
    if wanted.kind:
        query = query.where(ItemRow.kind == wanted.kind)
    if wanted.where:
        query = query.where(
            moved.c.what.in_([what for what, there in _LEADS_TO.items() if there == wanted.where])
        )
    if wanted.consignor:
        query = query.where(ConsignorRow.number == wanted.consignor.strip().upper())
    with Session(engine) as session:
        return tuple(_listed(*row) for row in session.execute(query))


def _listed(
    item: ItemRow, value: ValuationRow, what: str | None, consignor: str | None
) -> ListedItem:
    return ListedItem(
        item.id,
        item.number,
        item.kind,
        item.label,
        item.size,
        item.note,
        told(item.made_at),
        value.estimate,
        value.ticket,
        value.currency,
        value.tier,
        value.route,
        _LEADS_TO.get(what or "", "nowhere"),
        consignor,
    )
