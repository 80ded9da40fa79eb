"""The tables of the shop's records."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import JSON, Float, ForeignKey, Index, MetaData, String, UniqueConstraint
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column, relationship

from resale.storage.db.money_column import Minor

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
    # What the shop calls the label, and what is written on the thing: see `LabelNameRow`.
    label: Mapped[str] = mapped_column(String(80), default="")
    label_written: Mapped[str] = mapped_column(String(80), default="")
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
    estimate: Mapped[Minor]
    low: Mapped[Minor]
    high: Mapped[Minor]
    ticket: Mapped[Minor]
    tier: Mapped[str] = mapped_column(String(40))
    route: Mapped[str] = mapped_column(String(20))
    made_at: Mapped[datetime]
    item: Mapped[ItemRow] = relationship(back_populates="valuations")


class EventRow(Base):
    """Something that happened to an item; only ever added, never changed.

    A correction is an event of its own that points to the one it corrects: the last one says what
    holds, or that it never happened.
    """

    __tablename__ = "event"
    __table_args__ = (
        Index("ix_event_item_id_day", "item_id", "day"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    item_id: Mapped[int] = mapped_column(ForeignKey("item.id"))
    what: Mapped[str] = mapped_column(String(20))
    # The shop's own day, which may be another than that of `made_at`.
    day: Mapped[date] = mapped_column(index=True)
    amount: Mapped[Minor | None]
    currency: Mapped[str] = mapped_column(String(3), default="")
    note: Mapped[str] = mapped_column(String(400), default="")
    by_whom: Mapped[str] = mapped_column(String(60), default="")
    data: Mapped[dict[str, Any]]
    corrects: Mapped[int | None] = mapped_column(ForeignKey("event.id"), index=True)
    strikes: Mapped[bool] = mapped_column(default=False)
    client_key: Mapped[str] = mapped_column(String(80), unique=True)
    made_at: Mapped[datetime]


SOLD = ("what", "kind", "day", "event_id", "item_id", "valuation_id", "currency", "amount")


class ItemNow(Base):
    """Where an item is now; the database writes it anew with every event and valuation of it.

    It follows from them (`migrations/item_now_triggers.py`), and is there so that no page has to
    ask the whole history.
    """

    __tablename__ = "item_now"
    __table_args__ = (
        Index("ix_item_now_place_item_id", "place", "item_id"),
        # They hold all that is asked of sales by the thousand, so that no row is opened for it.
        Index("ix_item_now_what_day", "what", "day", "event_id", "item_id", "valuation_id"),
        Index("ix_item_now_what_kind_day", *SOLD),
    )

    item_id: Mapped[int] = mapped_column(ForeignKey("item.id"), primary_key=True)
    kind: Mapped[str] = mapped_column(String(40))
    # One of `transitions.Where`.
    place: Mapped[str] = mapped_column(String(20))
    # The last event that holds and moved it or gave it a price, as it stands after corrections.
    what: Mapped[str] = mapped_column(String(20))
    day: Mapped[date | None]
    event_id: Mapped[int | None]
    amount: Mapped[Minor | None]
    currency: Mapped[str] = mapped_column(String(3))
    valuation_id: Mapped[int | None] = mapped_column(index=True)
    # Id of the last line about it, of whatever sort: whoever saw that one has seen all.
    changed: Mapped[int] = mapped_column(index=True)


class SearchWord(Base):
    """A word by which items are found; all such rows follow from the items, and are made anew."""

    __tablename__ = "search_word"

    id: Mapped[int] = mapped_column(primary_key=True)
    word: Mapped[str] = mapped_column(String(40), unique=True)


class ItemWord(Base):
    """That an item goes by a word."""

    __tablename__ = "item_word"

    word_id: Mapped[int] = mapped_column(ForeignKey("search_word.id"), primary_key=True)
    item_id: Mapped[int] = mapped_column(ForeignKey("item.id"), primary_key=True, index=True)


class LabelNameRow(Base):
    """What the shop calls a label that is written so; the newest row of a key holds."""

    __tablename__ = "label_name"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(String(240), index=True)
    name: Mapped[str] = mapped_column(String(80))
    by_whom: Mapped[str] = mapped_column(String(60), default="")
    made_at: Mapped[datetime]


class ImportRun(Base):
    """A file of past sales that was loaded; its digest keeps it from being loaded twice."""

    __tablename__ = "import_run"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    digest: Mapped[str] = mapped_column(String(64), unique=True)
    name: Mapped[str] = mapped_column(String(200))
    counts: Mapped[dict[str, Any]]
    made_at: Mapped[datetime]


class ExchangeRateRow(Base):
    """What one unit of a currency is worth from a day on; the newest row of a day holds."""

    __tablename__ = "exchange_rate"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    currency: Mapped[str] = mapped_column(String(3), index=True)
    since: Mapped[date]
    # As text: a rate is exact, and databases differ in what they keep of a fraction.
    rate: Mapped[str] = mapped_column(String(40))
    by_whom: Mapped[str] = mapped_column(String(60), default="")
    made_at: Mapped[datetime]


class ColumnMemory(Base):
    """What a heading or a word in a file was said to mean; the newest row holds.

    `about` is empty for a heading and names our column for a word in it.
    """

    __tablename__ = "column_memory"
    __table_args__ = (
        Index("ix_column_memory_about_said", "about", "said"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    about: Mapped[str] = mapped_column(String(80))
    said: Mapped[str] = mapped_column(String(400))
    means: Mapped[str] = mapped_column(String(80))
    made_at: Mapped[datetime]


class ModelRun(Base):
    """A model that was fitted to the ledger."""

    __tablename__ = "model_run"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    model_id: Mapped[str] = mapped_column(String(64), unique=True)
    folder: Mapped[str] = mapped_column(String(400))
    note: Mapped[str] = mapped_column(String(400))
    book_version: Mapped[str] = mapped_column(String(20))
    book_fingerprint: Mapped[str] = mapped_column(String(64))
    data: Mapped[str] = mapped_column(String(64))
    sales: Mapped[int]
    noise: Mapped[float] = mapped_column(Float)
    # How far its sales lay from their prices as they were read; older fits did not keep it.
    spread: Mapped[float | None] = mapped_column(Float)
    made_at: Mapped[datetime]


class ModelSwitch(Base):
    """Which model was switched to; the newest row holds, and none means none of the ledger's."""

    __tablename__ = "model_switch"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    model_id: Mapped[str | None] = mapped_column(ForeignKey("model_run.model_id"))
    by_whom: Mapped[str] = mapped_column(String(60), default="")
    made_at: Mapped[datetime]


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
