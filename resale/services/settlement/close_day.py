"""A day of the till: what should be in it, line by line, and its closing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy.orm import Session

from resale.selling.consignment.double_entry import BookkeepingError
from resale.services.actor import Actor
from resale.services.sent import Sent, once
from resale.services.shop import Shop
from resale.services.transaction import Work, transaction
from resale.storage.ledger.event_checks import LONGEST, MOST
from resale.storage.settlement.day_money import (
    ClosedDay,
    MoneyLine,
    closed_day,
    first_open_day,
    money_lines,
    sums_of,
    write_closing,
)
from resale.storage.settlement.entries import closed_through


@dataclass(frozen=True)
class DayMoney:
    """The money of a day. Minor units.

    Attributes
    ----------
    lines : tuple of MoneyLine
        What counts on it.
    sums : dict of payment to int
        Of those lines.
    closed : ClosedDay or None
        How it was closed; None while it is open.
    """

    day: date
    lines: tuple[MoneyLine, ...]
    sums: dict[str, int]
    closed: ClosedDay | None


@dataclass(frozen=True)
class NewClosing:
    """A day that is to be closed.

    Attributes
    ----------
    counted : int or None
        Cash counted, without the float, in minor units; below 0 where more went out than came in.
    note : str
        Needed where another sum was counted than there should be.
    """

    day: date
    counted: int | None = None
    note: str = ""


def day_money(shop: Shop, day: date) -> DayMoney:
    """Say what money came in and went out on a day, and whether it is closed.

    Parameters
    ----------
    shop : Shop
    day : date
        In the shop's own zone.

    Returns
    -------
    DayMoney
        Minor units by the way of paying. A correction counts on the day on which it was written.
    """
    with Session(shop.records) as session:
        lines = tuple(money_lines(session, day, day))
        return DayMoney(day, lines, sums_of(lines), closed_day(session, day))


def close_day(
    shop: Shop, actor: Actor, new: NewClosing, at: datetime, sent: Sent | None = None
) -> ClosedDay:
    """Close a day, and all before it that are open: what comes later counts on the next.

    Parameters
    ----------
    actor : Actor
        Whoever closes it.
    at : datetime
        Now, in the shop's zone.
    sent : Sent, optional
        How a device sent it, so that it is done once.

    Raises
    ------
    BookkeepingError
        If the day is still to come or closed already, or what was counted cannot be, or is another
        sum than there should be and no note says why.
    KeyTakenError
        If the device's key came with something else.
    """
    with transaction(shop.records, actor, at) as work:
        return once(work, sent, ClosedDay, lambda: _close(work, shop, new))


def _close(work: Work, shop: Shop, new: NewClosing) -> ClosedDay:
    session, where = work.session, "closing"
    if new.day > work.at.date():
        raise BookkeepingError(
            f"{new.day} is still to come", where=where, remedy="close today at most"
        )
    last = closed_through(session)
    if last is not None and new.day <= last:
        raise BookkeepingError(
            f"the till is closed up to {last} already",
            where=where,
            remedy="what was forgotten counts on the next day; just write it down",
        )
    if len(new.note) > LONGEST["note"] or abs(new.counted or 0) > MOST:
        raise BookkeepingError(
            "what was counted, or the note, cannot be",
            where=where,
            remedy=f"count without the float; a note has up to {LONGEST['note']} characters",
        )
    since = first_open_day(session, new.day)
    expected = sums_of(money_lines(session, since, new.day))
    closed = ClosedDay(new.day, since, expected, new.counted, new.note, work.actor.name)
    if closed.difference and not new.note.strip():
        # It is never changed: a slip of the finger would stand as missing money for good.
        cash = shop.money.show(expected.get("cash", 0))
        of = "" if since == new.day else f" of the days from {since} on"
        raise BookkeepingError(
            f"{shop.money.show(new.counted or 0)} is counted where {cash}{of} should be",
            where=where,
            remedy="count again, or say in the note what the difference is",
        )
    write_closing(session, closed, work.at)
    work.log("closed a day of the till", new.day.isoformat())
    return closed
