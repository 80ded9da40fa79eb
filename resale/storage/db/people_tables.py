"""The tables of the people of a shop: who they are, how they get in, and what they did."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import ForeignKey, Index, String, false
from sqlalchemy.orm import Mapped, mapped_column

from resale.storage.db.tables import Base


class PersonRow(Base):
    """Somebody who works here, by the name that colleagues use."""

    __tablename__ = "person"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(60), unique=True)
    role: Mapped[str] = mapped_column(String(10))
    # Argon2's own text; empty until a password was set.
    secret: Mapped[str] = mapped_column(String(200), default="")
    # Those who left stay: their name stands beside what they did.
    left_at: Mapped[datetime | None]
    made_at: Mapped[datetime]


class UserSessionRow(Base):
    """One person signed in on one browser; ended rows stay until they are swept.

    A session is half until its second step is done, and opens nothing but that step. `challenge` is
    what a passkey was asked last, good for one answer.
    """

    __tablename__ = "sitting"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    digest: Mapped[str] = mapped_column(String(64), unique=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), index=True)
    browser: Mapped[str] = mapped_column(String(200), default="")
    made_at: Mapped[datetime]
    seen_at: Mapped[datetime]
    ended_at: Mapped[datetime | None]
    half: Mapped[bool] = mapped_column(default=False, server_default=false())
    challenge: Mapped[str] = mapped_column("asked", String(100), default="", server_default="")


class EntryLinkRow(Base):
    """A link that lets one person set a password, once; only its digest is kept.

    Without a person it makes the first owner.
    """

    __tablename__ = "entry_link"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    digest: Mapped[str] = mapped_column(String(64), unique=True)
    person_id: Mapped[int | None] = mapped_column(ForeignKey("person.id"), index=True)
    made_at: Mapped[datetime]
    until: Mapped[datetime]
    used_at: Mapped[datetime | None]


class AuditEntryRow(Base):
    """Who did what and when; only ever added, never changed."""

    __tablename__ = "deed"
    __table_args__ = (Index("ix_deed_about", "about"), {"sqlite_autoincrement": True})

    id: Mapped[int] = mapped_column(primary_key=True)
    made_at: Mapped[datetime] = mapped_column(index=True)
    by_whom: Mapped[str] = mapped_column(String(60))
    role: Mapped[str] = mapped_column(String(10))
    what: Mapped[str] = mapped_column(String(80))
    # The item, person or thing that it was done to, as its address names it.
    about: Mapped[str] = mapped_column(String(120))
    data: Mapped[dict[str, Any]]
