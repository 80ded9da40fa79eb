"""The tables of the consignor side: a number and a name, and who brought which item."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from resale.storage.db.tables import Base


class ConsignorRow(Base):
    """Somebody who brings items: no more is kept of a person than this."""

    __tablename__ = "consignor"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[str] = mapped_column(String(20), unique=True)
    name: Mapped[str] = mapped_column(String(80), default="")
    made_at: Mapped[datetime]


class BroughtRow(Base):
    """Who brought an item; an item has one consignor or none."""

    __tablename__ = "brought"

    item_id: Mapped[int] = mapped_column(ForeignKey("item.id"), primary_key=True)
    consignor_id: Mapped[int] = mapped_column(ForeignKey("consignor.id"), index=True)
    made_at: Mapped[datetime]
