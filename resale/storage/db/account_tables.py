"""The tables of the accounts: entries with their postings, statements, closed days.

Rows are only ever added. A share is kept as text, for no database keeps a decimal the same way.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import ForeignKey, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from resale.storage.db.money_column import Minor
from resale.storage.db.tables import Base


class EntryRow(Base):
    """Something that moved money between accounts; its postings sum to zero.

    `about_day` is the day of what it is about, `day` the one on which it counts: another where
    the first was closed already.
    """

    __tablename__ = "account_entry"
    __table_args__ = (
        Index("ix_account_entry_item_id", "item_id"),
        Index("ix_account_entry_day", "day"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    what: Mapped[str] = mapped_column(String(20))
    day: Mapped[date]
    about_day: Mapped[date]
    item_id: Mapped[int | None] = mapped_column(ForeignKey("item.id"))
    event_id: Mapped[int | None] = mapped_column(ForeignKey("event.id"))
    undoes: Mapped[int | None] = mapped_column(ForeignKey("account_entry.id"), unique=True)
    note: Mapped[str] = mapped_column(String(400), default="")
    by_whom: Mapped[str] = mapped_column(String(60))
    client_key: Mapped[str] = mapped_column(String(80), unique=True)
    made_at: Mapped[datetime]


class PostingRow(Base):
    """What an entry adds to one account, in minor units: debits above 0, credits below."""

    __tablename__ = "posting"
    __table_args__ = (
        Index("ix_posting_entry_id", "entry_id"),
        Index("ix_posting_consignor_id", "consignor_id"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    entry_id: Mapped[int] = mapped_column(ForeignKey("account_entry.id"))
    account: Mapped[str] = mapped_column(String(40))
    consignor_id: Mapped[int | None] = mapped_column(ForeignKey("consignor.id"))
    amount: Mapped[Minor]


class StatementRow(Base):
    """A statement that was closed, with all its figures but the person's name."""

    __tablename__ = "statement"
    __table_args__ = (
        UniqueConstraint("consignor_id", "serial"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    consignor_id: Mapped[int] = mapped_column(ForeignKey("consignor.id"))
    serial: Mapped[int]
    begin: Mapped[date]
    end: Mapped[date]
    closing: Mapped[Minor]
    figures: Mapped[dict[str, Any]]
    by_whom: Mapped[str] = mapped_column(String(60))
    made_at: Mapped[datetime]


class StatementNameRow(Base):
    """The name that a statement was closed with: apart, so that it can be forgotten."""

    __tablename__ = "statement_name"

    statement_id: Mapped[int] = mapped_column(ForeignKey("statement.id"), primary_key=True)
    name: Mapped[str] = mapped_column(String(80), default="")


class StatedPostingRow(Base):
    """Which statement a posting stands on: one, and for good."""

    __tablename__ = "stated_posting"

    posting_id: Mapped[int] = mapped_column(ForeignKey("posting.id"), primary_key=True)
    statement_id: Mapped[int] = mapped_column(ForeignKey("statement.id"), index=True)


class ClosedDayRow(Base):
    """A day of the till that was closed: what should be in it, and what was counted."""

    __tablename__ = "closed_day"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    day: Mapped[date] = mapped_column(unique=True)
    figures: Mapped[dict[str, Any]]
    note: Mapped[str] = mapped_column(String(400), default="")
    by_whom: Mapped[str] = mapped_column(String(60))
    made_at: Mapped[datetime]
