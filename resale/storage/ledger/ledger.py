"""The Ledger: what happened to items is added to, never overwritten."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import Engine, insert, select
from sqlalchemy.orm import Session

from resale.storage.db.tables import EventRow, ItemRow
from resale.storage.items.store import NotSavedError
from resale.storage.ledger.effective_events import event_of, event_values, held_events, last_steps
from resale.storage.ledger.event_checks import NewEvent, check_event
from resale.storage.ledger.hold_rows import refuse_held
from resale.storage.ledger.transitions import (
    CORRECTED,
    SAID,
    VALUED,
    WITH_PRICE,
    Event,
    LedgerError,
    State,
    Where,
    follow,
    held,
)

OVER = ("sold", "passed_on")


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

    number: str
    kind: str
    label: str
    size: str
    state: State


def add_event(engine: Engine, new: NewEvent, *, currency: str, at: datetime) -> int:
    """Write down what happened to an item.

    Parameters
    ----------
    currency : str
        ISO 4217 code of the shop's money.
    at : datetime
        Now, in the shop's zone: its day is today.

    Returns
    -------
    int
        Id of the event, whether this call added it or an earlier one with the same key.

    Raises
    ------
    NotSavedError
        If there is no such item.
    HeldError
        If it is held, and may neither be ticketed nor leave the shop.
    LedgerError
        If it cannot have happened: with what is wrong and what to do.
    """
    return add_events(engine, [new], currency=currency, at=at)[0]


def add_events(
    engine: Engine, many: Sequence[NewEvent], *, currency: str, at: datetime
) -> list[int]:
    """Write down several events, all of them or none."""
    for new in many:
        check_event(new, at.date())
    with Session(engine.execution_options(writes=True)) as session, session.begin():
        return [_add(session, new, currency, at) for new in many]


def item_life(engine: Engine, number: str) -> ItemLife:
    """Tell the life of an item.

    Raises
    ------
    NotSavedError
        If there is none of this number.
    """
    with Session(engine) as session:
        item = _item(session, number)
        written = _events(session, item.id)
        standing = held(written)
        line = (item.number, item.kind, item.label, item.size, item.note)
        return ItemLife(*line, tuple(written), tuple(standing), follow(standing, item.number))


def items_on_hand(engine: Engine, *wanted: Where) -> tuple[ItemOnHand, ...]:
    """List items in the back room and on the rail, or in one of both, by their number."""
    places = wanted or ("back_room", "on_rail")
    events, last = held_events(), last_steps()
    here = select(last.c.item_id).where(last.c.what.not_in(OVER))
    query = (
        select(events, ItemRow.number, ItemRow.kind, ItemRow.label, ItemRow.size)
        .join(ItemRow, ItemRow.id == events.c.item_id)
        .where(events.c.item_id.in_(here))
        .order_by(ItemRow.id)
    )
    lines: dict[tuple[str, str, str, str], list[Event]] = {}
    with Session(engine) as session:
        for row in session.execute(query):
            known = lines.setdefault((row.number, row.kind, row.label, row.size), [])
            known.append(Event(row.id, row.what, row.day, row.amount))
    items = (ItemOnHand(*line, follow(held(events), line[0])) for line, events in lines.items())
    return tuple(item for item in items if item.state.where in places)


# ---------------------------------------------------------------- one event
def _add(session: Session, new: NewEvent, currency: str, at: datetime) -> int:
    item = _item(session, new.number)
    # The transaction holds the write lock from its start: nobody adds the same key in between.
    known = session.scalar(select(EventRow).where(EventRow.client_key == new.key))
    if known is not None:
        return _same(known, new, item)
    refuse_held(session, item.number, new.what, lead_knows=new.lead_knows)
    before = _events(session, item.id)
    amount = _amount(new, before)
    candidate = Event(_next_id(before), new.what, new.day, amount, corrects=new.corrects)
    follow(held([*before, replace(candidate, strikes=new.strikes)]), item.number)
    values = event_values(
        item.id,
        new.what,
        new.key,
        at,
        day=new.day,
        amount=amount,
        currency=currency if amount is not None else "",
        note=new.note,
        by_whom=new.by,
        data=dict(new.data),
        corrects=new.corrects,
        strikes=new.strikes,
    )
    return int(session.scalar(insert(EventRow).returning(EventRow.id), values) or 0)


def _same(known: EventRow, new: NewEvent, item: ItemRow) -> int:
    told = (item.id, new.what, new.day, new.corrects, new.strikes)
    kept = (known.item_id, known.what, known.day, known.corrects, known.strikes)
    if told != kept or new.amount not in (None, known.amount):
        raise LedgerError(
            "something else was recorded with this form already",
            where=new.number,
            remedy="open the item again and record it from there",
        )
    return known.id


def _next_id(before: Sequence[Event]) -> int:
    return max((event.id for event in before), default=0) + 1


def _amount(new: NewEvent, before: Sequence[Event]) -> int | None:
    """The amount given, or the one that goes without saying."""
    if new.what == CORRECTED:
        return _corrected_amount(new, before)
    if new.amount is not None or new.what not in WITH_PRICE:
        return new.amount
    then = follow([event for event in held(before) if event.day <= new.day])
    if then.price is None and new.what != "returned":
        raise LedgerError(
            f"no price is known at which it was {SAID[new.what]}",
            where=new.number,
            remedy="give the price",
        )
    return then.price


def _corrected_amount(new: NewEvent, before: Sequence[Event]) -> int | None:
    meant = next((event for event in before if event.id == new.corrects), None)
    if meant is None or meant.what in (CORRECTED, VALUED):
        raise LedgerError(
            "the line to correct is none of this item, or a valuation",
            where=new.number,
            remedy="correct the line itself; value the item again to change a valuation",
        )
    if new.amount is not None and meant.what not in WITH_PRICE | {"passed_on"}:
        raise LedgerError(
            f"no money changes hands when an item is {SAID[meant.what]}",
            where=new.number,
            remedy="leave the amount out",
        )
    last = [event for event in before if event.corrects == meant.id]
    return (last[-1] if last else meant).amount if new.amount is None else new.amount


def _item(session: Session, number: str) -> ItemRow:
    item = session.scalar(select(ItemRow).where(ItemRow.number == number.strip().upper()))
    if item is None:
        raise NotSavedError(
            f"no item {number.strip()[:20]!r} is in the records",
            remedy="look at the number on the ticket",
        )
    return item


def _events(session: Session, item_id: int) -> list[Event]:
    rows = session.scalars(
        select(EventRow).where(EventRow.item_id == item_id).order_by(EventRow.id)
    )
    return [event_of(row) for row in rows]
