"""Statements: an open one at any time, and those that are closed for good."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Literal

from babel.dates import format_date
from sqlalchemy import select
from sqlalchemy.orm import Session

from resale.selling.consignment.double_entry import BookkeepingError
from resale.selling.consignment.statement import NotSold, Statement, StatementLine, What
from resale.selling.consignment.take_in import Consignor, ConsignorTerms, PriceReason
from resale.selling.consignment.wording import statement_terms
from resale.selling.tickets.paper_money import PaperMoney
from resale.services.actor import Actor
from resale.services.settlement.entered import agree_shares
from resale.services.shop import Shop
from resale.services.transaction import Work, transaction
from resale.storage.db.consignor_tables import ConsignorRow
from resale.storage.items.store import NotSavedError, item_numbered
from resale.storage.ledger.consignors import consignor_row
from resale.storage.settlement.closed_statements import last_statement, write_statement
from resale.storage.settlement.statements import Unstated, last_steps_of, unstated

REASONS = 4
"""So many reasons for a price fit on a line of paper."""
_SIGNED: dict[str, What] = {
    "sale": "sale",
    "return": "return",
    "deduction": "deduction",
    "deposit": "deposit",
    "payout": "payout",
}
_OVER = ("sold", "passed_on")


def open_statement(shop: Shop, number: str, today: date) -> Statement:
    """Say how a consignor's account stands: its last sum is what is owed to them.

    What was written after its day was closed counts on a later one, and is among it.

    Parameters
    ----------
    number : str
        Of the consignor.
    today : date
        In the shop's own zone.

    Raises
    ------
    NotSavedError
        If there is no such consignor.
    """
    with Session(shop.records) as session:
        owner = consignor_row(session, number)
        rows = unstated(session, owner.id)
        end = max([today, *(one.day for one in rows)])
        return _drafted(session, shop, owner, end, rows)


def close_statement(shop: Shop, actor: Actor, number: str, end: date, at: datetime) -> Statement:
    """Close a consignor's statement: from now on it is never changed.

    Parameters
    ----------
    actor : Actor
        The lead who closes it.
    number : str
        Of the consignor.
    end : date
        Its last day; what comes later stands on the next one.
    at : datetime
        Now, in the shop's zone.

    Raises
    ------
    NotSavedError
        If there is no such consignor.
    BookkeepingError
        If the day is still to come or closed already, or nothing happened.
    """
    with transaction(shop.records, actor, at) as work:
        agree_shares(work, shop)
        owner = consignor_row(work.session, number)
        closed = _close(work, shop, owner, end)
        if closed is None:
            raise BookkeepingError(
                "nothing happened that a statement could say",
                where=owner.number,
                remedy="close it when something was sold, paid or given back",
            )
    return closed


def close_all(shop: Shop, actor: Actor, end: date, at: datetime) -> list[Statement]:
    """Close the statement of everybody for whom something happened; all of them or none.

    Parameters
    ----------
    actor : Actor
        The lead who closes them.
    end : date
        The last day, such as that of a month.
    at : datetime
        Now, in the shop's zone.

    Raises
    ------
    BookkeepingError
        If the day is still to come.
    """
    with transaction(shop.records, actor, at) as work:
        agree_shares(work, shop)
        owners = work.session.scalars(select(ConsignorRow).order_by(ConsignorRow.number)).all()
        later = [one for one in owners if not _closed_beyond(work.session, one, end)]
        found = [_close(work, shop, one, end) for one in later]
    return [one for one in found if one is not None]


def _closed_beyond(session: Session, owner: ConsignorRow, end: date) -> bool:
    last = last_statement(session, owner.id)
    return last is not None and last.end >= end


def _close(work: Work, shop: Shop, owner: ConsignorRow, end: date) -> Statement | None:
    session, today = work.session, work.at.date()
    if end > today:
        raise BookkeepingError(
            f"{end} is still to come", where=owner.number, remedy="close up to today at most"
        )
    last = last_statement(session, owner.id)
    if last is not None and last.end >= end:
        raise BookkeepingError(
            f"the statement up to {last.end} is closed already",
            where=owner.number,
            remedy="give a later day; what is to be put right stands on the next one",
        )
    rows = unstated(session, owner.id, end)
    draft = _drafted(session, shop, owner, end, rows)
    if not rows and not draft.passed_on:
        return None
    serial = 1 if last is None else last.serial + 1
    closed = replace(draft, serial=serial, closed_at=work.at.astimezone(UTC).replace(microsecond=0))
    postings = [one.posting for one in rows]
    write_statement(session, owner.id, closed, postings, work.at, work.actor.name)
    work.log("closed a statement", closed.name, end=end.isoformat())
    return closed


def _drafted(
    session: Session, shop: Shop, owner: ConsignorRow, end: date, rows: Sequence[Unstated]
) -> Statement:
    last, steps = last_statement(session, owner.id), last_steps_of(session, owner.id, end)
    begin = last.end + timedelta(1) if last else _first_day(owner, rows, end)
    gone = [one for one in steps if one.what == "passed_on" and begin <= one.day <= end]
    settings = shop.settings
    return Statement(
        settings.name,
        Consignor(owner.number, owner.name),
        0,
        begin,
        max(end, begin),
        last.closing if last else 0,
        tuple(_line(shop, one) for one in rows),
        tuple(NotSold(one.number, _kind(shop, one.kind), one.size, one.day) for one in gone),
        sum(one.what not in _OVER for one in steps),
        tuple(statement_terms(ConsignorTerms.of(settings), PaperMoney(shop.money))),
        settings.currency,
        settings.locale,
    )


def _first_day(owner: ConsignorRow, rows: Sequence[Unstated], end: date) -> date:
    """The first statement begins with the consignor, or with what is older than that."""
    return min([end, owner.made_at.date(), *(one.day for one in rows)])


def _line(shop: Shop, row: Unstated) -> StatementLine:
    what: What = _SIGNED.get(row.what, "correction")
    return StatementLine(
        row.day,
        what,
        row.amount,
        row.item,
        _kind(shop, row.kind) if row.kind else "",
        row.size,
        _words(shop, row, what),
        (row.moved or None) if row.item else None,
        Decimal(row.share) if row.share and what in ("sale", "return") else None,
        reasons_of(shop, row.item) if what == "sale" else (),
    )


def _words(shop: Shop, row: Unstated, what: Literal["correction"] | What) -> str:
    """Say what a line is about where its day and its sort do not."""
    about = format_date(row.about_day, "d MMM y", locale=shop.settings.locale)
    if what == "correction" and row.undoes is None:
        return f"of what was written for {about}"
    said = "Taken back" if row.undoes is not None else ""
    said = said or (f"on {about}" if row.day != row.about_day else "")
    return ": ".join(part for part in (said, row.note) if part)


def _kind(shop: Shop, kind: str) -> str:
    return shop.kind_name(kind)


def reasons_of(shop: Shop, number: str) -> tuple[PriceReason, ...]:
    """What was seen of an item and moved its price most; nothing where it was never valued.

    Parameters
    ----------
    shop : Shop
        For its rule book, in whose words the reasons are said.
    number : str
        Of an item.

    Returns
    -------
    tuple of PriceReason
        The few largest, the largest first, in minor units.
    """
    try:
        valued = item_numbered(shop.records, number).newest.valued
    except NotSavedError:
        return ()
    shares = (one for one in valued.contributions if one.money)
    rows = sorted(shares, key=lambda row: -abs(row.money))
    return tuple(PriceReason(f"{row.name}: {row.option}", row.money) for row in rows[:REASONS])
