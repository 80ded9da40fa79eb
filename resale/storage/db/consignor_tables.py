"""The tables of the consignor side: a number and a name, and who brought which item."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from resale.storage.db.tables import Base


class ConsignorRow(Base):
    """Somebody who brings items: no more is kept of a person than this.

    `share` was agreed with them, from 0 to 1, as text; None until somebody asks for it, and then
    the shop's own.
    """

    __tablename__ = "consignor"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[str] = mapped_column(String(20), unique=True)
    name: Mapped[str] = mapped_column(String(80), default="")
    share: Mapped[str | None] = mapped_column(String(12), default=None)
    made_at: Mapped[datetime]


class BroughtRow(Base):
    """Who brought an item, at which share; an item has one consignor or none.

    `share` is that of its consignor on the day, or another that was agreed for this one.
    """

    __tablename__ = "brought"

    item_id: Mapped[int] = mapped_column(ForeignKey("item.id"), primary_key=True)
    consignor_id: Mapped[int] = mapped_column(ForeignKey("consignor.id"), index=True)
    share: Mapped[str | None] = mapped_column(String(12), default=None)
    made_at: Mapped[datetime]
