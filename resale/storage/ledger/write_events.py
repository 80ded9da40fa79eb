"""Writing down what happened to items, inside a transaction that is open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import insert, select
from sqlalchemy.orm import Session

from resale.storage.db.tables import EventRow, ItemRow
from resale.storage.ledger.effective_events import event_values
from resale.storage.ledger.event_checks import NewEvent, check_event
from resale.storage.ledger.hold_rows import refuse_held
from resale.storage.ledger.ledger import events_of, item_row
from resale.storage.ledger.looked import refuse_unlooked
from resale.storage.ledger.transitions import (
    CORRECTED,
    EVENT_WORDS,
    MOVED_TO,
    TICKETS,
    VALUED,
    WITH_PRICE,
    Event,
    LedgerError,
    follow,
    held,
)

TIMES_ITS_TICKET = 10
"""Above this a price was typed without its decimal mark, or with a key that stuck."""


@dataclass(frozen=True, slots=True)
class WrittenEvent:
    """An event that stands in the Ledger.

    Attributes
    ----------
    item : int
        Row of the item that it happened to.
    fresh : bool
        Whether this call wrote it, not an earlier one with the same key.
    """

    id: int
    item: int
    fresh: bool


def write_events(
    session: Session, many: Sequence[NewEvent], *, currency: str, at: datetime, by: str
) -> list[WrittenEvent]:
    """Write down what happened to items, all of it or none.

    Parameters
    ----------
    session : Session
        In a transaction that writes.
    currency : str
        ISO 4217 code of the shop's money.
    at : datetime
        Now, in the shop's zone: its day is today.
    by : str
        Name of whoever did it.

    Raises
    ------
    NotSavedError
        If there is no such item.
    HeldError
        If it is held, and may neither be ticketed nor leave the shop.
    LedgerError
        If it cannot have happened: with what is wrong and what to do.
    """
    for new in many:
        check_event(new, at.date())
    return [_add(session, new, currency, at, by) for new in many]


def _add(session: Session, new: NewEvent, currency: str, at: datetime, by: str) -> WrittenEvent:
    item = item_row(session, new.number)
    # The transaction holds the write lock from its start: nobody adds the same key in between.
    known = session.scalar(select(EventRow).where(EventRow.client_key == new.key))
    if known is not None:
        return WrittenEvent(_same(known, new, item), item.id, False)
    refuse_held(session, item.number, new.what, lead_knows=new.lead_knows)
    before = events_of(session, item.id)
    refuse_unlooked(session, item.id, item.number, new.what, held(before))
    amount = _amount(new, before)
    _check_refund(new, amount, before)
    _check_price(new, amount, before)
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
        by_whom=by,
        data=dict(new.data),
        corrects=new.corrects,
        strikes=new.strikes,
    )
    row = session.scalar(insert(EventRow).returning(EventRow.id), values)
    return WrittenEvent(int(row or 0), item.id, True)


def _same(known: EventRow, new: NewEvent, item: ItemRow) -> int:
    told = (item.id, new.what, new.day, new.corrects, new.strikes)
    stored = (known.item_id, known.what, known.day, known.corrects, known.strikes)
    if told != stored or new.amount not in (None, known.amount):
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
            f"no price is known at which it was {EVENT_WORDS[new.what]}",
            where=new.number,
            remedy="give the price",
        )
    return then.price


def _check_refund(new: NewEvent, amount: int | None, before: Sequence[Event]) -> None:
    """Refuse to give back more than was paid; judged on writing, so that old books still open."""
    meant = new.corrects and next((one for one in before if one.id == new.corrects), None)
    if amount is None or new.strikes or (meant.what if meant else new.what) != "returned":
        return
    earlier = [one for one in held(before) if one.day <= new.day and one.id != new.corrects]
    sales = [one for one in earlier if one.what == "sold" and (not meant or one.id < meant.id)]
    paid = sales[-1].amount if sales else None
    if paid is not None and amount > paid:
        raise LedgerError(
            "more would be given back than was paid",
            where=new.number,
            remedy="give back at most what the sale says, or correct the sale first",
        )


def _check_price(new: NewEvent, amount: int | None, before: Sequence[Event]) -> None:
    """Refuse a price that only a slip makes: no buyer gives so many times what the ticket says."""
    meant = new.corrects and next((one for one in before if one.id == new.corrects), None)
    if amount is None or new.strikes or (meant.what if meant else new.what) != "sold":
        return
    tickets = [one for one in held(before) if one.what in TICKETS and one.day <= new.day]
    ticket = tickets[-1].amount if tickets else None
    if ticket is not None and amount > TIMES_ITS_TICKET * ticket:
        raise LedgerError(
            f"it would be sold for more than {TIMES_ITS_TICKET} times what its ticket says",
            where=new.number,
            remedy="look at the price, or write another ticket first",
        )


def _corrected_amount(new: NewEvent, before: Sequence[Event]) -> int | None:
    meant = next((event for event in before if event.id == new.corrects), None)
    if meant is None or meant.what in (CORRECTED, VALUED):
        raise LedgerError(
            "the line to correct is none of this item, or a valuation",
            where=new.number,
            remedy="correct the line itself; value the item again to change a valuation",
        )
    if MOVED_TO in meant.data:
        raise LedgerError(
            f"it went to {meant.data[MOVED_TO]}",
            where=new.number,
            remedy="move it back from there; what was broken off, move it once more first",
        )
    if new.amount is not None and meant.what not in WITH_PRICE | {"passed_on"}:
        raise LedgerError(
            f"no money changes hands when an item is {EVENT_WORDS[meant.what]}",
            where=new.number,
            remedy="leave the amount out",
        )
    last = [event for event in before if event.corrects == meant.id]
    return (last[-1] if last else meant).amount if new.amount is None else new.amount
