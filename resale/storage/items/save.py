"""Saving items inside a transaction that is open: rows go in, numbers come out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from resale.storage.db.tables import ItemRow
from resale.storage.db.upsert import insert
from resale.storage.db.utc import stored
from resale.storage.items.idempotent_save import arrived, gone_on_from
from resale.storage.items.label_rows import names_with
from resale.storage.items.new_save import NewSave
from resale.storage.items.saved_rows import write_holds, write_saved
from resale.storage.items.search_index import keep_words
from resale.storage.items.store import NotSavedError


@dataclass(frozen=True, slots=True)
class Saved:
    """An item that is saved now.

    Attributes
    ----------
    fresh : bool
        Whether this save wrote it, not an earlier one with the same key and inputs.
    item : int
        Id of its row.
    """

    number: str
    fresh: bool
    item: int


def save_items(session: Session, many: Iterable[NewSave], at: datetime, by: str) -> list[Saved]:
    """Save items with their valuations, or add valuations to items that are there.

    Parameters
    ----------
    session : Session
        In a transaction that writes.
    by : str
        Name of whoever read them.

    Raises
    ------
    NotSavedError
        If a `number` is no saved item.
    """
    saved = [_save(session, new, at, by) for new in many]
    keep_words(session, [one.item for one in saved if one.fresh])
    return saved


def _save(session: Session, new: NewSave, at: datetime, by: str) -> Saved:
    fresh = arrived(session, new) is None
    item = None if fresh else gone_on_from(session, new)
    if item is None:
        item = _item_for(session, new, at, by)
        write_saved(session, new, item, at, by)
    else:
        # Its readings are outdated, but what somebody held by hand with it is not.
        write_holds(session, new, item, {}, None, at, by)
    return Saved(item.number, fresh, item.id)


def _item_for(session: Session, new: NewSave, at: datetime, by: str) -> ItemRow:
    """Find the item or make it; its kind, label, size and note become what they are now."""
    names = names_with(session, [new.label], at, by)
    line = {
        "label": names.name_of(new.label),
        "label_written": new.label,
        "size": new.size,
        "note": new.note,
    }
    if new.number is None:
        # The transaction holds the write lock from its start: the next number is nobody else's.
        following = new.wanted or (session.scalar(select(func.max(ItemRow.id))) or 0) + 1
        session.execute(
            insert(session, ItemRow)
            .values(
                id=following,
                number=new.own_number or f"Q-{following:05d}",
                client_key=new.key,
                kind=new.kind,
                made_at=stored(at),
                **line,
            )
            .on_conflict_do_nothing(index_elements=["client_key"])
        )
        wanted = ItemRow.client_key == new.key
    else:
        wanted = ItemRow.number == new.number
    item = session.scalar(select(ItemRow).where(wanted))
    if item is None:
        raise NotSavedError(
            f"no item {str(new.number)[:20]!r} is saved", remedy="look for it in the list of items"
        )
    for name, text in {"kind": new.kind, **line}.items():
        setattr(item, name, text)
    return item
