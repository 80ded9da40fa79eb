"""The tables of the shop's devices: which may ask over the wire, and what they sent once."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, String
from sqlalchemy.orm import Mapped, mapped_column

from resale.storage.db.tables import Base


class DeviceToken(Base):
    """A device that may ask; of its secret only the SHA-256 is kept.

    `scopes` holds what it may do, parted by blanks.
    """

    __tablename__ = "device_token"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(60))
    digest: Mapped[str] = mapped_column(String(64), unique=True)
    scopes: Mapped[str] = mapped_column(String(40))
    made_by: Mapped[str] = mapped_column(String(60), default="")
    made_at: Mapped[datetime]
    last_used_at: Mapped[datetime | None]
    revoked_at: Mapped[datetime | None]


class DeviceRequest(Base):
    """Something a device sent under a key of its own; sent again, it gets the same answer.

    `answer` is empty while the first sending is at work.
    """

    __tablename__ = "device_request"

    client_key: Mapped[str] = mapped_column(String(64), primary_key=True)
    digest: Mapped[str] = mapped_column(String(64))
    answer: Mapped[dict[str, Any] | None] = mapped_column(JSON)
    made_at: Mapped[datetime] = mapped_column(index=True)
