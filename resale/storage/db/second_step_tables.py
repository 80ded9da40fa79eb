"""The tables of second steps at the door: codes of an app, passkeys, and codes for a bad day."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import BigInteger, ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from resale.storage.db.tables import Base


class SecondStepRow(Base):
    """Something that one person has: an app that makes codes, or a passkey.

    `secret` is the seed of the app, which checks and makes codes alike and so cannot be a digest;
    or the public key of the passkey, which is no secret. `counter` is the newest step of time
    whose code was taken, or what the passkey counted last: neither is good twice.
    """

    __tablename__ = "second_step"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), index=True)
    # ``app`` or ``passkey``.
    how: Mapped[str] = mapped_column(String(10))
    name: Mapped[str] = mapped_column(String(60))
    secret: Mapped[str] = mapped_column(String(1000))
    # Of a passkey, as its browser names it; empty for an app.
    credential: Mapped[str] = mapped_column(String(1400), default="")
    counter: Mapped[int] = mapped_column(BigInteger, default=0)
    # Empty until the first code showed that the app has the seed.
    proved_at: Mapped[datetime | None]
    used_at: Mapped[datetime | None]
    made_at: Mapped[datetime]


class RecoveryCodeRow(Base):
    """A code that stands in for a lost second step, once; only its digest is kept."""

    __tablename__ = "recovery_code"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), index=True)
    digest: Mapped[str] = mapped_column(String(64), unique=True)
    used_at: Mapped[datetime | None]
    made_at: Mapped[datetime]
