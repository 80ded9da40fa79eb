"""The list of items read on from where the last page ended, whatever was saved meanwhile."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import cast

from sqlalchemy import Engine, select
from sqlalchemy.orm import Session

from resale.storage.db.consignor_tables import BroughtRow, ConsignorRow
from resale.storage.db.tables import ItemNow, ItemRow, ValuationRow
from resale.storage.db.utc import told
from resale.storage.items.item_filter import ALL_ITEMS, ItemFilter, chosen_by
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
    query = (
        select(ItemRow, ValuationRow, ItemNow.place, ConsignorRow.number)
        .join(ItemNow, ItemNow.item_id == ItemRow.id)
        .join(ValuationRow, ValuationRow.id == ItemNow.valuation_id)
        .outerjoin(BroughtRow, BroughtRow.item_id == ItemRow.id)
        .outerjoin(ConsignorRow, ConsignorRow.id == BroughtRow.consignor_id)
        .order_by(ItemRow.id.desc())
        .limit(limit)
    )
    if before is not None:
        query = query.where(ItemRow.id < before)
    with Session(engine) as session:
        query = query.where(*chosen_by(session, wanted).conditions)
        return tuple(_listed(*row) for row in session.execute(query))


def _listed(item: ItemRow, value: ValuationRow, where: str, consignor: str | None) -> ListedItem:
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
        cast("Where", where),
        consignor,
    )
