"""A statement as paper and as file: what was closed gives the same bytes whenever it is asked."""

from __future__ import annotations

from datetime import date

from babel.dates import format_date
from sqlalchemy.orm import Session

from resale.money import Money
from resale.selling.consignment.csv import statement_csv
from resale.selling.consignment.statement import Statement
from resale.services.shop import Shop
from resale.storage.settlement.closed_statements import closed_statement


def statement_closed(shop: Shop, number: str, serial: int) -> Statement:
    """Find a closed statement.

    Parameters
    ----------
    number : str
        Of the consignor.
    serial : int
        Counts their statements from 1.

    Raises
    ------
    NotSavedError
        If there is none.
    """
    with Session(shop.records) as session:
        return closed_statement(session, number, serial)


def statement_paper(statement: Statement) -> bytes:
    """Print a statement as PDF, in the currency and the words of its own day."""
    # What draws on paper takes a second to load; a day at the desk may need none of it.
    from resale.selling.consignment.pdf import statement_pdf  # noqa: PLC0415

    def write_day(day: date) -> str:
        return format_date(day, "d MMM y", locale=statement.locale)

    money = Money(statement.currency, statement.locale)
    return statement_pdf(statement, money, write_day=write_day)


def statement_file(statement: Statement) -> bytes:
    """Write a statement as CSV."""
    return statement_csv(statement, Money(statement.currency, statement.locale))
