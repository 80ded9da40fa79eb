"""Who brought an item: written, taken back and asked."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

from sqlalchemy import Engine, delete, select
from sqlalchemy.orm import Session

from resale.selling.consignment.shares import share_text
from resale.storage.db.consignor_tables import BroughtRow, ConsignorRow
from resale.storage.db.tables import ItemRow
from resale.storage.db.upsert import insert
from resale.storage.db.utc import stored
from resale.storage.ledger.consignors import ConsignorError, consignor_row
from resale.storage.ledger.ledger import ItemLife, item_life, item_row


def brings(
    session: Session, number: str, items: Sequence[str], at: datetime, share: Decimal | None
) -> list[int]:
    """Write down that a consignor brought these items; all of them or none.

    Parameters
    ----------
    session : Session
        In a transaction that writes.
    share : Decimal or None
        That was agreed for these items, from 0 to 1; that of the consignor where None.

    Returns
    -------
    list of int
        Rows of the items that were not theirs yet.

    Raises
    ------
    NotSavedError
        If there is no such item or consignor.
    ConsignorError
        If somebody else brought one of them.
    """
    owner, added = consignor_row(session, number), []
    for wanted in dict.fromkeys(items):
        item = item_row(session, wanted)
        known = session.get(BroughtRow, item.id)
        if known is not None and known.consignor_id != owner.id:
            raise ConsignorError(
                "somebody else brought it",
                where=wanted,
                remedy="take it off the other consignor first",
            )
        if known is None:
            agreed = owner.share if share is None else share_text(share)
            row = {"item_id": item.id, "consignor_id": owner.id, "share": agreed}
            session.execute(insert(session, BroughtRow).values({**row, "made_at": stored(at)}))
            added.append(item.id)
    return added


def takes_off(session: Session, number: str, item: str) -> int:
    """Undo that a consignor brought an item.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    number : str
        Of the consignor.
    item : str
        Number of the item.

    Returns
    -------
    int
        Row of the item.

    Raises
    ------
    NotSavedError
        If there is no such consignor, or no such item.
    """
    owner, row = consignor_row(session, number), item_row(session, item)
    session.execute(
        delete(BroughtRow).where(BroughtRow.consignor_id == owner.id, BroughtRow.item_id == row.id)
    )
    return row.id


def consignor_of(engine: Engine, item: str) -> str | None:
    """Give the number of whoever brought an item; None where nobody did.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    item : str
        Number of the item.

    Returns
    -------
    str or None
    """
    query = (
        select(ConsignorRow.number)
        .join(BroughtRow, BroughtRow.consignor_id == ConsignorRow.id)
        .join(ItemRow, ItemRow.id == BroughtRow.item_id)
        .where(ItemRow.number == item)
    )
    with Session(engine) as session:
        return session.scalar(query)


def lives_of(engine: Engine, number: str) -> list[ItemLife]:
    """Tell the lives of all items that a consignor brought, by item number.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    number : str
        Of the consignor.

    Returns
    -------
    list of ItemLife
    """
    query = (
        select(ItemRow.number)
        .join(BroughtRow, BroughtRow.item_id == ItemRow.id)
        .join(ConsignorRow, ConsignorRow.id == BroughtRow.consignor_id)
        .where(ConsignorRow.number == number.strip().upper())
        .order_by(ItemRow.id)
    )
    with Session(engine) as session:
        numbers = list(session.scalars(query))
    return [item_life(engine, one) for one in numbers]
