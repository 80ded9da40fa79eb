"""Statements that were closed: written once, and read as they were closed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import insert, select
from sqlalchemy.orm import Session

from resale.selling.consignment.statement import Statement, figures_of, statement_of
from resale.storage.db.account_tables import (
    StatedPostingRow,
    StatementNameRow,
    StatementRow,
)
from resale.storage.db.utc import stored
from resale.storage.items.store import NotSavedError
from resale.storage.ledger.consignors import consignor_row


def last_statement(session: Session, consignor: int) -> StatementRow | None:
    """Find the newest closed statement of a consignor.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    consignor : int
        Their id.

    Returns
    -------
    StatementRow or None
    """
    query = select(StatementRow).where(StatementRow.consignor_id == consignor)
    return session.scalar(query.order_by(StatementRow.serial.desc()).limit(1))


def write_statement(
    session: Session,
    consignor: int,
    statement: Statement,
    postings: Sequence[int],
    at: datetime,
    by: str,
) -> None:
    """Close a statement: its figures, its person's name apart, and which postings it holds.

    Parameters
    ----------
    session : Session
        In a transaction that writes.
    postings : sequence of int
        Rows that stand on it; the database refuses one that stands on another.
    """
    values = {
        "consignor_id": consignor,
        "serial": statement.serial,
        "begin": statement.begin,
        "end": statement.end,
        "closing": statement.closing,
        "figures": figures_of(statement),
        "by_whom": by,
        "made_at": stored(at),
    }
    row = session.scalar(insert(StatementRow).returning(StatementRow.id), values)
    named = {"statement_id": row, "name": statement.consignor.name}
    session.execute(insert(StatementNameRow), named)
    if postings:
        lines = [{"posting_id": one, "statement_id": row} for one in postings]
        session.execute(insert(StatedPostingRow), lines)


def closed_statements(session: Session, number: str) -> list[StatementRow]:
    """List the closed statements of a consignor, the newest first.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    number : str
        Of the consignor.

    Returns
    -------
    list of StatementRow
    """
    owner = consignor_row(session, number)
    query = select(StatementRow).where(StatementRow.consignor_id == owner.id)
    return list(session.scalars(query.order_by(StatementRow.serial.desc())))


def closed_statement(session: Session, number: str, serial: int) -> Statement:
    """Read a closed statement as it was closed.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    number : str
        Of the consignor.
    serial : int
        Of the statement, from 1.

    Returns
    -------
    Statement

    Raises
    ------
    NotSavedError
        If there is none.
    """
    owner = consignor_row(session, number)
    query = select(StatementRow, StatementNameRow.name).join(
        StatementNameRow, StatementNameRow.statement_id == StatementRow.id
    )
    found = session.execute(
        query.where(StatementRow.consignor_id == owner.id, StatementRow.serial == serial)
    ).first()
    if found is None:
        raise NotSavedError(
            f"{owner.number} has no statement {serial}",
            remedy="look in the list of their statements",
        )
    row, name = found
    return statement_of(row.figures, name)
