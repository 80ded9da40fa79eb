"""The tables of the shop's records."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, ForeignKey, Index, MetaData, String, UniqueConstraint
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column, relationship

# Names follow a rule, so that a later migration can drop what it did not name.
NAMES = {
    "ix": "ix_%(column_0_label)s",
    "uq": "uq_%(table_name)s_%(column_0_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s",
    "pk": "pk_%(table_name)s",
}


class Base(DeclarativeBase):
    """All tables."""

    metadata = MetaData(naming_convention=NAMES)
    type_annotation_map = {dict[str, Any]: JSON}  # noqa: RUF012


class ItemRow(Base):
    """A thing that stands or stood in the shop."""

    __tablename__ = "item"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[str] = mapped_column(String(20), unique=True)
    # The key that the browser made for this item: what is sent twice is saved once.
    client_key: Mapped[str] = mapped_column(String(64), unique=True)
    kind: Mapped[str] = mapped_column(String(40), index=True)
    label: Mapped[str] = mapped_column(String(80), default="")
    size: Mapped[str] = mapped_column(String(30), default="")
    note: Mapped[str] = mapped_column(String(400), default="")
    made_at: Mapped[datetime] = mapped_column(index=True)
    valuations: Mapped[list[ValuationRow]] = relationship(
        back_populates="item", order_by="ValuationRow.id"
    )


class ValuationRow(Base):
    """What was read of an item and what it was valued at; only ever added, never changed."""

    __tablename__ = "valuation"
    __table_args__ = (
        UniqueConstraint("client_key", "inputs_digest"),
        Index("ix_valuation_item_id_id", "item_id", "id"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    item_id: Mapped[int] = mapped_column(ForeignKey("item.id"))
    client_key: Mapped[str] = mapped_column(String(64))
    inputs_digest: Mapped[str] = mapped_column(String(64))
    inputs: Mapped[dict[str, Any]]
    result: Mapped[dict[str, Any]]
    book_version: Mapped[str] = mapped_column(String(20))
    book_fingerprint: Mapped[str] = mapped_column(String(64))
    model_id: Mapped[str] = mapped_column(String(64))
    currency: Mapped[str] = mapped_column(String(3))
    estimate: Mapped[int]
    low: Mapped[int]
    high: Mapped[int]
    ticket: Mapped[int]
    tier: Mapped[str] = mapped_column(String(40))
    route: Mapped[str] = mapped_column(String(20))
    made_at: Mapped[datetime]
    item: Mapped[ItemRow] = relationship(back_populates="valuations")
