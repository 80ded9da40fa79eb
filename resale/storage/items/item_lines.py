"""The list of items read on from where the last page ended, whatever was saved meanwhile."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Engine, func, select
from sqlalchemy.orm import Session

from resale.storage.db.consignor_tables import BroughtRow, ConsignorRow
from resale.storage.db.tables import ItemRow, ValuationRow
from resale.storage.db.utc import told
from resale.storage.items.item_filter import ALL_ITEMS, LEADS_TO, ItemFilter, chosen_by
from resale.storage.ledger.effective_events import last_steps
from resale.storage.ledger.transitions import Where


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
    moved = last_steps(tuple(LEADS_TO))
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
    with Session(engine) as session:
        query = query.where(*chosen_by(session, wanted).conditions)
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
        LEADS_TO.get(what or "", "nowhere"),
        consignor,
    )
