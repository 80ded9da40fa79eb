"""Statements as they are kept: what is on none yet, and what was closed with all its figures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Row, case, func, select
from sqlalchemy.orm import Session, aliased

from resale.selling.consignment.double_entry import CONSIGNOR
from resale.storage.db.account_tables import (
    EntryRow,
    PostingRow,
    StatedPostingRow,
    StatementRow,
)
from resale.storage.db.consignor_tables import BroughtRow, ConsignorRow
from resale.storage.db.money_column import added_up
from resale.storage.db.tables import EventRow, ItemRow
from resale.storage.ledger.consignors import consignor_row
from resale.storage.ledger.effective_events import effective_events
from resale.storage.ledger.transitions import STEPS


@dataclass(frozen=True)
class Unstated:
    """A posting of a consignor that stands on no statement yet. Money in minor units.

    Attributes
    ----------
    amount : int
        What it adds to what is owed to them.
    moved : int
        The money that changed hands with it: in above 0, out below.
    share : str or None
        As it was agreed when the item sold.
    """

    posting: int
    entry: int
    what: str
    day: date
    about_day: date
    note: str
    undoes: int | None
    amount: int
    moved: int
    item: str
    kind: str
    size: str
    share: str | None


@dataclass(frozen=True)
class Due:
    """What is owed to one consignor. Minor units.

    Attributes
    ----------
    owed : int
        All that is in their account; below 0 where they owe.
    stated : int
        Owed by their last statement, less what was paid out since.
    """

    number: str
    name: str
    owed: int
    stated: int

    @property
    def to_pay(self) -> int:
        """What a payment list pays: what was stated, and never more than is owed."""
        return max(min(self.stated, self.owed), 0)


def unstated(session: Session, consignor: int, end: date | None = None) -> list[Unstated]:
    """List the postings of a consignor that stand on no statement, by the day they count on.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    consignor : int
        Their id.
    end : date, optional
        Only what counts on this day or before.

    Returns
    -------
    list of Unstated
        Minor units.
    """
    query = (
        _postings()
        .where(_of(consignor), PostingRow.id.not_in(select(StatedPostingRow.posting_id)))
        .order_by(EntryRow.day, EntryRow.id)
    )
    if end is not None:
        query = query.where(EntryRow.day <= end)
    return [_unstated(row) for row in session.execute(query)]


def dues(session: Session) -> list[Due]:
    """Say who is owed what, by number; whoever has no account yet is owed nothing."""
    other = aliased(EntryRow)
    payouts = select(other.id).where(other.what == "payout")
    payout = (EntryRow.what == "payout") | EntryRow.undoes.in_(payouts)
    open_ones = PostingRow.id.not_in(select(StatedPostingRow.posting_id))
    sums = (
        select(
            PostingRow.consignor_id.label("consignor"),
            added_up(-PostingRow.amount).label("owed"),
            added_up(case((payout & open_ones, -PostingRow.amount), else_=0)).label("paid"),
        )
        .join(EntryRow, EntryRow.id == PostingRow.entry_id)
        .where(PostingRow.account == CONSIGNOR)
        .group_by(PostingRow.consignor_id)
        .subquery()
    )
    newest = select(func.max(StatementRow.id)).group_by(StatementRow.consignor_id)
    last = select(StatementRow).where(StatementRow.id.in_(newest)).subquery()
    query = (
        select(ConsignorRow.number, ConsignorRow.name, sums.c.owed, last.c.closing, sums.c.paid)
        .outerjoin(sums, sums.c.consignor == ConsignorRow.id)
        .outerjoin(last, last.c.consignor_id == ConsignorRow.id)
    )
    found = [
        Due(number, name, int(owed or 0), int(closing or 0) + int(out or 0))
        for number, name, owed, closing, out in session.execute(query)
    ]
    # Sorted here, because databases differ in what comes first.
    return sorted(found, key=lambda one: one.number)


def last_steps_of(session: Session, consignor: int, end: date) -> list[Row[Any]]:
    """Say how each item of a consignor stood at the end of a day: its last step.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    consignor : int
        Their id.
    end : date

    Returns
    -------
    list of (number, kind, size, what, day)
    """
    events = effective_events()
    query = (
        select(ItemRow.number, ItemRow.kind, ItemRow.size, events.c.what, events.c.day)
        .join(BroughtRow, BroughtRow.item_id == ItemRow.id)
        .join(events, events.c.item_id == ItemRow.id)
        .where(BroughtRow.consignor_id == consignor, events.c.what.in_(STEPS), events.c.day <= end)
        .order_by(ItemRow.id, events.c.day, events.c.id)
    )
    last = {row.number: row for row in session.execute(query)}
    return list(last.values())


def agreed_of(session: Session, consignor: int) -> Mapping[str, str]:
    """Shares agreed for a consignor's items, by item number; those without one are left out.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    consignor : int
        Their id.

    Returns
    -------
    mapping of str to str
        Share as a decimal number, such as ``0.5``.
    """
    query = (
        select(ItemRow.number, BroughtRow.share)
        .join(BroughtRow, BroughtRow.item_id == ItemRow.id)
        .where(BroughtRow.consignor_id == consignor, BroughtRow.share.is_not(None))
    )
    return {number: share or "" for number, share in session.execute(query)}


def moves_of(session: Session, number: str, most: int = 20) -> list[Unstated]:
    """List payouts, deposits and deductions of a consignor that stand, the newest first.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    number : str
        Of the consignor.
    most : int
        So many at most.

    Returns
    -------
    list of Unstated
        Minor units.
    """
    owner, other = consignor_row(session, number), aliased(EntryRow)
    undone = select(other.undoes).where(other.undoes.is_not(None))
    query = (
        _postings()
        .where(
            _of(owner.id),
            EntryRow.what.in_(("payout", "deposit", "deduction")),
            EntryRow.id.not_in(undone),
        )
        .order_by(EntryRow.day.desc(), EntryRow.id.desc())
        .limit(most)
    )
    return [_unstated(row) for row in session.execute(query)]


def _of(consignor: int) -> Any:
    return (PostingRow.account == CONSIGNOR) & (PostingRow.consignor_id == consignor)


def _unstated(row: Sequence[Any]) -> Unstated:
    share = (row[-2] or {}).get("share", row[-1])
    posting, entry, what, day, about, note, undoes, amount, moved, item, kind, size = row[:-2]
    about_it = (note, undoes, amount, moved, item, kind, size, share)
    return Unstated(posting, entry, what, day, about, *about_it)


def _postings() -> Any:
    """Select postings with what their entries and items say."""
    other = aliased(PostingRow)
    moved = (
        select(added_up(other.amount))
        .where(other.entry_id == EntryRow.id, other.account.like("money:%"))
        .correlate(EntryRow)
        .scalar_subquery()
    )
    return (
        select(
            PostingRow.id,
            EntryRow.id,
            EntryRow.what,
            EntryRow.day,
            EntryRow.about_day,
            EntryRow.note,
            EntryRow.undoes,
            -PostingRow.amount,
            func.coalesce(moved, 0),
            func.coalesce(ItemRow.number, ""),
            func.coalesce(ItemRow.kind, ""),
            func.coalesce(ItemRow.size, ""),
            EventRow.data,
            BroughtRow.share,
        )
        .join(EntryRow, EntryRow.id == PostingRow.entry_id)
        .outerjoin(ItemRow, ItemRow.id == EntryRow.item_id)
        .outerjoin(EventRow, EventRow.id == EntryRow.event_id)
        .outerjoin(BroughtRow, BroughtRow.item_id == EntryRow.item_id)
    )
