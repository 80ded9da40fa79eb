"""The Ledger: what happened to items is added to, never overwritten."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Engine, Select, select
from sqlalchemy.orm import Session

from resale.storage.db.tables import EventRow, ItemNow, ItemRow
from resale.storage.items.store import NotSavedError
from resale.storage.ledger.effective_events import effective_events, event_of
from resale.storage.ledger.transitions import Event, State, Where, follow, held

OVER = ("sold", "passed_on")
HERE = ("back_room", "on_rail")


@dataclass(frozen=True)
class ItemLife:
    """An item with all that happened to it.

    Attributes
    ----------
    written : tuple of Event
        Every line as it was written, corrections among them, the oldest first.
    held : tuple of Event
        What holds after the corrections, in the order in which it happened.
    """

    number: str
    kind: str
    label: str
    size: str
    note: str
    written: tuple[Event, ...]
    held: tuple[Event, ...]
    state: State


@dataclass(frozen=True)
class ItemOnHand:
    """An item that stands in the shop."""

    id: int
    number: str
    kind: str
    label: str
    size: str
    state: State


def item_life(engine: Engine, number: str) -> ItemLife:
    """Tell the life of an item.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    number : str
        In capitals or not.

    Returns
    -------
    ItemLife

    Raises
    ------
    NotSavedError
        If there is none of this number.
    """
    with Session(engine) as session:
        item = item_row(session, number)
        written = events_of(session, item.id)
        standing = held(written)
        line = (item.number, item.kind, item.label, item.size, item.note)
        return ItemLife(*line, tuple(written), tuple(standing), follow(standing, item.number))


def ids_on_hand() -> Select[Any]:
    """Ids of the items in the back room and on the rail."""
    return select(ItemNow.item_id).where(ItemNow.place.in_(HERE))


def ids_here(session: Session, numbers: Collection[str]) -> list[int]:
    """Ids of those items of some numbers that are on hand, in the order of their ids.

    Parameters
    ----------
    session : Session
    numbers : collection of str
        In capitals.
    """
    here = select(ItemRow.id).join(ItemNow).where(ItemNow.place.in_(HERE))
    return list(session.scalars(here.where(ItemRow.number.in_(numbers)).order_by(ItemRow.id)))


def out_since(engine: Engine, day: date) -> list[str]:
    """Numbers of what came to the rail, or got its present price there, on a day.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    day : date
    """
    hangs = select(ItemRow.number).join(ItemNow).where(ItemNow.place == "on_rail")
    with Session(engine) as session:
        return list(session.scalars(hangs.where(ItemNow.day == day).order_by(ItemRow.id)))


def items_on_hand(
    engine: Engine, *wanted: Where, only: Collection[int] | None = None
) -> tuple[ItemOnHand, ...]:
    """List items in the back room and on the rail, or in one of both, by their number.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    *wanted : str
        One of both places.
    only : collection of int, optional
        Ids of items on hand; all of them where omitted.
    """
    places = wanted or HERE
    events = effective_events()
    query = (
        select(events, ItemRow.number, ItemRow.kind, ItemRow.label, ItemRow.size)
        .join(ItemRow, ItemRow.id == events.c.item_id)
        .where(events.c.item_id.in_(ids_on_hand() if only is None else only))
        .order_by(ItemRow.id)
    )
    lines: dict[tuple[int, str, str, str, str], list[Event]] = {}
    with Session(engine) as session:
        for row in session.execute(query):
            line = (row.item_id, row.number, row.kind, row.label, row.size)
            known = lines.setdefault(line, [])
            known.append(Event(row.id, row.what, row.day, row.amount))
    items = (ItemOnHand(*line, follow(held(events), line[1])) for line, events in lines.items())
    return tuple(item for item in items if item.state.where in places)


def item_row(session: Session, number: str) -> ItemRow:
    """Find the row of an item.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    number : str
        In capitals or not.

    Returns
    -------
    ItemRow

    Raises
    ------
    NotSavedError
        If there is none of this number.
    """
    item = session.scalar(select(ItemRow).where(ItemRow.number == number.strip().upper()))
    if item is None:
        raise NotSavedError(
            f"no item {number.strip()[:20]!r} is in the records",
            remedy="look at the number on the ticket",
        )
    return item


def events_of(session: Session, item_id: int) -> list[Event]:
    """Read every line of an item as it was written, the oldest first.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    item_id : int

    Returns
    -------
    list of Event
        Corrected lines and their corrections among them.
    """
    rows = session.scalars(
        select(EventRow).where(EventRow.item_id == item_id).order_by(EventRow.id)
    )
    return [event_of(row) for row in rows]
