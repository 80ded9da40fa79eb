"""The table of quiet spells: days without a sale, and what somebody said of them."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import String
from sqlalchemy.orm import Mapped, mapped_column

from resale.storage.db.tables import Base


class QuietSpellRow(Base):
    """Days without a sale, both ends among them, and whether the shop was open on them."""

    __tablename__ = "quiet_spell"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    first: Mapped[date]
    last: Mapped[date]
    was_open: Mapped[bool]
    by_whom: Mapped[str] = mapped_column(String(60))
    made_at: Mapped[datetime]
