"""Whole items that somebody read for practice, beside the lead's reading of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from resale.storage.db.drill_tables import WholeItemRow
from resale.storage.db.tables import ItemRow
from resale.storage.db.upsert import insert
from resale.storage.db.utc import stored
from resale.storage.db.writing import Records, reading, writing
from resale.storage.items.store import NotSavedError


@dataclass(frozen=True, slots=True)
class NewWholeItem:
    """A whole item read for practice; readings as plain values."""

    key: str
    number: str
    person_id: int
    reading: Mapping[str, Any]
    lead: Mapping[str, Any]


def save_whole_item(records: Records, new: NewWholeItem, at: datetime) -> None:
    """Keep a whole item read for practice; the same key is kept once.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    new : NewWholeItem
    at : datetime
        Now, with its zone.
    """
    with writing(records) as session:
        session.execute(
            insert(session, WholeItemRow)
            .values(
                client_key=new.key,
                item_id=item_id_of(session, new.number),
                person_id=new.person_id,
                reading=dict(new.reading),
                lead=dict(new.lead),
                made_at=stored(at),
            )
            .on_conflict_do_nothing(index_elements=["client_key"])
        )


def whole_items_read(records: Records, person_id: int) -> tuple[str, ...]:
    """Numbers of the items that a person read for practice, the oldest first.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    person_id : int

    Returns
    -------
    tuple of str
    """
    wanted = (
        select(ItemRow.number)
        .join(WholeItemRow, WholeItemRow.item_id == ItemRow.id)
        .where(WholeItemRow.person_id == person_id)
        .order_by(WholeItemRow.id)
    )
    with reading(records) as session:
        return tuple(session.scalars(wanted))


def whole_item(records: Records, key: str) -> NewWholeItem:
    """Find a whole item read for practice by its key.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    key : str

    Returns
    -------
    NewWholeItem

    Raises
    ------
    NotSavedError
    """
    wanted = (
        select(WholeItemRow, ItemRow.number)
        .join(ItemRow, ItemRow.id == WholeItemRow.item_id)
        .where(WholeItemRow.client_key == key)
    )
    with reading(records) as session:
        found = session.execute(wanted).one_or_none()
        if found is None:
            raise NotSavedError("no reading is kept here", remedy="read an item first")
        row, number = found
        return NewWholeItem(row.client_key, number, row.person_id, row.reading, row.lead)


def item_id_of(session: Session, number: str) -> int:
    """Find the row of an item by its number.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    number : str
        In capitals.

    Returns
    -------
    int

    Raises
    ------
    NotSavedError
        If there is none of this number.
    """
    found = session.scalar(select(ItemRow.id).where(ItemRow.number == number))
    if found is None:
        raise NotSavedError(
            f"no item {number[:20]!r} is saved", remedy="look for it in the list of items"
        )
    return found
