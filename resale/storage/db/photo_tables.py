"""The table of photos: what each shows, and whether a lead looked at it."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from resale.storage.db.tables import Base


class PhotoRow(Base):
    """A photo of an item. Rows go when photos go: a picture may show what is somebody's own.

    `signal` is the sign that it shows, `option` the right answer to it where a lead marked it as
    good for teaching; both may be empty. `reviewed` is empty until a lead looked, then
    ``teaching`` or ``plain``.
    """

    __tablename__ = "photo"
    __table_args__ = (
        UniqueConstraint("item_id", "digest"),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    item_id: Mapped[int] = mapped_column(ForeignKey("item.id"))
    # Of the file, drawn at random: nothing of the name that it was sent under is kept.
    name: Mapped[str] = mapped_column(String(32), unique=True)
    # SHA-256 of the bytes as sent.
    digest: Mapped[str] = mapped_column(String(64))
    signal: Mapped[str] = mapped_column(String(40), default="")
    option: Mapped[str] = mapped_column(String(40), default="")
    width: Mapped[int]
    height: Mapped[int]
    by_whom: Mapped[str] = mapped_column(String(60), default="")
    made_at: Mapped[datetime]
    reviewed: Mapped[str] = mapped_column(String(10), default="")
    reviewed_by: Mapped[str] = mapped_column(String(60), default="")
    reviewed_at: Mapped[datetime | None]
    # The one that shows the item; where none was chosen, the oldest does.
    in_front: Mapped[bool] = mapped_column(default=False)
