"""Entries of the accounts: written once in balance, never changed, added up when asked."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy import func, insert, select
from sqlalchemy.orm import Session

from resale.selling.consignment.double_entry import (
    CONSIGNOR,
    Account,
    BookkeepingError,
    Postings,
    check_balance,
    reversed_of,
)
from resale.storage.db.account_tables import ClosedDayRow, EntryRow, PostingRow, StatementRow
from resale.storage.db.money_column import added_up
from resale.storage.db.utc import stored


@dataclass(frozen=True)
class NewEntry:
    """What is to be entered.

    Attributes
    ----------
    what : str
        ``sale``, ``return``, ``passed on``, ``correction``, ``deduction``, ``deposit``, ``payout``
        or ``undone``.
    about_day : date
        On which it happened.
    key : str
        The same entry under the same key is written once.
    undoes : int or None
        Id of the entry that this one takes back.
    """

    what: str
    about_day: date
    postings: Postings
    key: str
    note: str = ""
    item_id: int | None = None
    event_id: int | None = None
    undoes: int | None = None


def enter(session: Session, new: NewEntry, at: datetime, by: str) -> int:
    """Write an entry, on the day on which it counts.

    Parameters
    ----------
    session : Session
        In a transaction that writes.
    at : datetime
        Now, in the shop's zone.
    by : str
        Name of whoever does it.

    Returns
    -------
    int
        Its id; that of the first where the key is known.

    Raises
    ------
    BookkeepingError
        If it is out of balance, or something else came under its key.
    """
    check_balance(new.postings)
    known = known_entry(session, new.key)
    if known is not None:
        return _same(session, known, new)
    consignors = [one.consignor for one in new.postings if one.name == CONSIGNOR]
    values = {
        "what": new.what,
        "day": open_day(session, new.about_day, consignors, at.date()),
        "about_day": new.about_day,
        "item_id": new.item_id,
        "event_id": new.event_id,
        "undoes": new.undoes,
        "note": new.note,
        "by_whom": by,
        "client_key": new.key,
        "made_at": stored(at),
    }
    entry = int(session.scalar(insert(EntryRow).returning(EntryRow.id), values) or 0)
    rows = [
        {
            "entry_id": entry,
            "account": account.name,
            "consignor_id": account.consignor or None,
            "amount": amount,
        }
        for account, amount in sorted(new.postings.items())
    ]
    if rows:
        # The shop's own accounts name no consignor: written out, all rows are one statement.
        session.execute(insert(PostingRow), rows, execution_options={"render_nulls": True})
    return entry


def known_entry(session: Session, key: str) -> EntryRow | None:
    """Find what was entered under a key.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    key : str

    Returns
    -------
    EntryRow or None
    """
    return session.scalar(select(EntryRow).where(EntryRow.client_key == key))


def open_day(session: Session, day: date, consignors: Iterable[int], today: date) -> date:
    """Give the day on which something counts: its own, or today where its own is closed.

    Parameters
    ----------
    consignors : iterable of int
        Rows of those whose accounts it touches: a closed statement closes their days.
    """
    closed = closed_through(session, consignors)
    if closed is None or day > closed:
        return day
    return max(today, closed + timedelta(1))


def closed_through(session: Session, consignors: Iterable[int] = ()) -> date | None:
    """Give the last day that is closed, for the till or for one of these consignors.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    consignors : iterable of int
        Their ids.

    Returns
    -------
    date or None
        None where nothing was ever closed.
    """
    till = session.scalar(select(func.max(ClosedDayRow.day)))
    theirs = list(consignors)
    ends = select(func.max(StatementRow.end)).where(StatementRow.consignor_id.in_(theirs))
    stated = session.scalar(ends) if theirs else None
    return max((day for day in (till, stated) if day is not None), default=None)


def postings_of_entry(session: Session, entry: int) -> Postings:
    """Read the postings of an entry.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    entry : int
        Its id.

    Returns
    -------
    Postings
        Minor units by account; their sum is 0.
    """
    query = select(PostingRow.account, PostingRow.consignor_id, PostingRow.amount)
    rows = session.execute(query.where(PostingRow.entry_id == entry))
    return {Account(name, consignor or 0): amount for name, consignor, amount in rows}


def undo_entry(session: Session, entry: int, key: str, at: datetime, by: str) -> int:
    """Take an entry back by another one, today; the first stays where it is.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    entry : int
        Its id.
    key : str
        Makes writing twice write once.
    at : datetime
        Now, with its zone.
    by : str
        Name of whoever does it.

    Returns
    -------
    int
        Id of the new entry.

    Raises
    ------
    BookkeepingError
        If there is none, it came from the Ledger, or was taken back already.
    """
    meant = session.get(EntryRow, entry)
    if meant is None or meant.what not in ("deduction", "deposit", "payout"):
        raise BookkeepingError(
            "this line cannot be taken back here",
            where="accounts",
            remedy="correct a sale or a return on its page in the Ledger",
        )
    again = session.scalar(select(EntryRow).where(EntryRow.undoes == entry))
    if again is not None and again.client_key != key:
        raise BookkeepingError(
            f"{again.by_whom} took it back already on {again.day}",
            where="accounts",
            remedy="nothing more is to be done",
        )
    back = reversed_of(postings_of_entry(session, entry))
    new = NewEntry("undone", at.date(), back, key, note=meant.note, undoes=entry)
    return enter(session, new, at, by)


def account_balances(session: Session, last: date | None = None) -> Postings:
    """Add every account up, to a day counted in; all together they are 0.

    Parameters
    ----------
    last : date, optional
        All entries where omitted.
    """
    query = (
        select(PostingRow.account, PostingRow.consignor_id, added_up(PostingRow.amount))
        .group_by(PostingRow.account, PostingRow.consignor_id)
        .order_by(PostingRow.account, PostingRow.consignor_id)
    )
    if last is not None:
        query = query.join(EntryRow, EntryRow.id == PostingRow.entry_id).where(EntryRow.day <= last)
    rows = session.execute(query)
    return {
        Account(name, consignor or 0): int(amount) for name, consignor, amount in rows if amount
    }


def owed(session: Session, consignor: int) -> int:
    """What is owed to a consignor now, in minor units; below 0 where they owe the shop.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    consignor : int
        Their id.

    Returns
    -------
    int
    """
    query = select(added_up(PostingRow.amount)).where(
        PostingRow.account == CONSIGNOR, PostingRow.consignor_id == consignor
    )
    return -int(session.scalar(query) or 0)


def _same(session: Session, known: EntryRow, new: NewEntry) -> int:
    if known.what != new.what or postings_of_entry(session, known.id) != dict(new.postings):
        raise BookkeepingError(
            "something else was entered with this form already",
            where="accounts",
            remedy="open the page again and enter it from there",
        )
    return known.id
