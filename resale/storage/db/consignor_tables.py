"""The tables of the consignor side: a number and a name, and who brought which item."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey, Index, String, text
from sqlalchemy.orm import Mapped, mapped_column

from resale.storage.db.tables import Base


def _of_those_without(share_of: str, column: str) -> Index:
    """Asked before every sale, and nearly always empty: so it must not grow with the shop."""
    none = text("share IS NULL")
    name = f"ix_{share_of}_without_share"
    return Index(name, column, sqlite_where=none, postgresql_where=none)


class ConsignorRow(Base):
    """Somebody who brings items: no more is kept of a person than this.

    `share` was agreed with them, from 0 to 1, as text; None until somebody asks for it, and then
    the shop's own.
    """

    __tablename__ = "consignor"
    __table_args__ = (_of_those_without("consignor", "id"), {"sqlite_autoincrement": True})

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
    __table_args__ = (_of_those_without("brought", "item_id"),)

    item_id: Mapped[int] = mapped_column(ForeignKey("item.id"), primary_key=True)
    consignor_id: Mapped[int] = mapped_column(ForeignKey("consignor.id"), index=True)
    share: Mapped[str | None] = mapped_column(String(12), default=None)
    made_at: Mapped[datetime]
