"""The table of holds: what was raised for an item, and what a lead cleared."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from resale.storage.db.tables import Base


class HoldEventRow(Base):
    """A hold that was raised or cleared; only ever added, never changed.

    `data` keeps the answers that raised it, or what the lead confirmed.
    """

    __tablename__ = "hold_event"
    __table_args__ = (
        Index("ix_hold_event_item_id_hold_id", "item_id", "hold", "id"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    item_id: Mapped[int] = mapped_column(ForeignKey("item.id"))
    hold: Mapped[str] = mapped_column(String(40))
    what: Mapped[str] = mapped_column(String(10))
    reason: Mapped[str] = mapped_column(String(400), default="")
    by_whom: Mapped[str] = mapped_column(String(60), default="")
    data: Mapped[dict[str, Any]]
    client_key: Mapped[str] = mapped_column(String(80), unique=True)
    made_at: Mapped[datetime]
