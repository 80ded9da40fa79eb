"""A day of the till by its entries: what came in and went out in which way, and its closing."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import func, insert, select
from sqlalchemy.orm import Session

from resale.selling.consignment.double_entry import PAYMENTS, TAX
from resale.storage.db.account_tables import ClosedDayRow, EntryRow, PostingRow
from resale.storage.db.money_column import added_up
from resale.storage.db.tables import ItemRow
from resale.storage.db.utc import stored

_MONEY = {f"money: {payment}": payment for payment in PAYMENTS}


@dataclass(frozen=True)
class MoneyLine:
    """An entry that moved money on a day, or tax with it. Minor units.

    Attributes
    ----------
    about_day : date
        Of what it is about: another day where that was closed already.
    paid : dict of payment to int
        In above 0, out below.
    """

    entry: int
    what: str
    about_day: date
    item: str
    event: int | None
    note: str
    by: str
    paid: dict[str, int]
    tax: int


@dataclass(frozen=True)
class ClosedDay:
    """A day that was closed. Money in minor units.

    Attributes
    ----------
    since : date
        The first day that it closes: those before it that were left open are in it.
    expected : dict of payment to int
        What all entries come to.
    counted : int or None
        Cash that was counted, without the float; None where nobody counted.
    """

    day: date
    since: date
    expected: dict[str, int]
    counted: int | None
    note: str
    by: str

    @property
    def difference(self) -> int | None:
        """What was counted beyond what should be there; below 0 where some is missing."""
        return None if self.counted is None else self.counted - self.expected.get("cash", 0)


def money_lines(session: Session, first: date, last: date) -> list[MoneyLine]:
    """List the entries of some days, both counted in, that moved money.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    first, last : date

    Returns
    -------
    list of MoneyLine
        By day, then as they were entered; money in minor units.
    """
    query = (
        select(EntryRow, ItemRow.number, PostingRow.account, PostingRow.amount)
        .join(PostingRow, PostingRow.entry_id == EntryRow.id)
        .outerjoin(ItemRow, ItemRow.id == EntryRow.item_id)
        .where(EntryRow.day.between(first, last), PostingRow.account.in_([*_MONEY, TAX]))
        .order_by(EntryRow.day, EntryRow.id, PostingRow.id)
    )
    found: dict[int, MoneyLine] = {}
    tax: defaultdict[int, int] = defaultdict(int)
    for row, number, account, amount in session.execute(query):
        line = (row.id, row.what, row.about_day, number or "", row.event_id, row.note, row.by_whom)
        if account == TAX:
            tax[row.id] -= amount
        else:
            known = found.setdefault(row.id, MoneyLine(*line, {}, 0))
            known.paid[_MONEY[account]] = known.paid.get(_MONEY[account], 0) + amount
    return [MoneyLine(**{**vars(one), "tax": tax[one.entry]}) for one in found.values()]


def sums_of(lines: Iterable[MoneyLine]) -> dict[str, int]:
    """Add lines up by the way of paying, in minor units; ways that nothing came by are left out."""
    sums: defaultdict[str, int] = defaultdict(int)
    for line in lines:
        for payment, amount in line.paid.items():
            sums[payment] += amount
    return {payment: sums[payment] for payment in PAYMENTS if sums[payment]}


def paid_for(session: Session, events: Sequence[int]) -> dict[int, dict[str, int]]:
    """Say how some sales and returns were paid, corrections counted in, by event.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    events : sequence of int
        Ids of lines of the Ledger.

    Returns
    -------
    dict of int to dict of str to int
        Minor units by the way of paying.
    """
    found: defaultdict[int, dict[str, int]] = defaultdict(dict)
    for event, account, amount in _of_events(session, events, list(_MONEY)):
        if amount:
            found[event][_MONEY[account]] = amount
    return dict(found)


def tax_of(session: Session, events: Sequence[int]) -> dict[int, int]:
    """Say which tax is within some sales, by event; minor units, below 0 for a return.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    events : sequence of int
        Ids of lines of the Ledger.

    Returns
    -------
    dict of int to int
    """
    return {event: -amount for event, _, amount in _of_events(session, events, [TAX])}


def closed_day(session: Session, day: date) -> ClosedDay | None:
    """Find the closing of a day: its own, or that of a later day which closed it too.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    day : date

    Returns
    -------
    ClosedDay or None
    """
    query = select(ClosedDayRow).where(ClosedDayRow.day >= day).order_by(ClosedDayRow.day).limit(1)
    row = session.scalar(query)
    if row is None:
        return None
    figures = row.figures
    since = date.fromisoformat(figures["since"])
    told = (figures["expected"], figures["counted"], row.note, row.by_whom)
    return ClosedDay(row.day, since, *told)


def first_open_day(session: Session, day: date) -> date:
    """Give the first day that is not closed and has entries; at the latest `day` itself.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    day : date

    Returns
    -------
    date
    """
    last = session.scalar(select(func.max(ClosedDayRow.day)))
    query = select(func.min(EntryRow.day))
    first = session.scalar(query if last is None else query.where(EntryRow.day > last))
    return min(first or day, day)


def write_closing(session: Session, closed: ClosedDay, at: datetime) -> None:
    """Close a day for good.

    Parameters
    ----------
    session : Session
        In a transaction that writes.
    at : datetime
        Now.
    """
    figures = {
        "since": closed.since.isoformat(),
        "expected": closed.expected,
        "counted": closed.counted,
    }
    values = {"day": closed.day, "figures": figures, "note": closed.note, "by_whom": closed.by}
    session.execute(insert(ClosedDayRow), {**values, "made_at": stored(at)})


def _of_events(session: Session, events: Sequence[int], accounts: list[str]) -> Iterable[Any]:
    query = (
        select(EntryRow.event_id, PostingRow.account, added_up(PostingRow.amount))
        .join(PostingRow, PostingRow.entry_id == EntryRow.id)
        .where(EntryRow.event_id.in_(events), PostingRow.account.in_(accounts))
        .group_by(EntryRow.event_id, PostingRow.account)
    )
    return session.execute(query)
