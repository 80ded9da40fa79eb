"""The tables of what every machine of a shop has to know: files of theirs, and changed rules."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import Float, LargeBinary, String
from sqlalchemy.orm import Mapped, mapped_column

from resale.storage.db.tables import Base


class SharedFileRow(Base):
    """A file of the data folder that other machines of the shop need too, with its bytes.

    Only records on a server have any: what lies in a folder shares that folder.
    """

    __tablename__ = "shared_file"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    # Within the data folder, with slashes.
    name: Mapped[str] = mapped_column(String(200), unique=True)
    sha256: Mapped[str] = mapped_column(String(64))
    content: Mapped[bytes] = mapped_column(LargeBinary)


class RuleChangeRow(Base):
    """One opinion of the rule book changed, by whom and why; only ever added, never changed.

    `made_from` is the newest change that whoever made this one had seen; 0 is none.
    """

    __tablename__ = "rule_change"
    __table_args__ = {"sqlite_autoincrement": True}  # noqa: RUF012

    id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(60))
    signal: Mapped[str] = mapped_column(String(60))
    option: Mapped[str] = mapped_column(String(60))
    field: Mapped[str] = mapped_column(String(10))
    value: Mapped[float] = mapped_column(Float)
    who: Mapped[str] = mapped_column(String(240))
    day: Mapped[date]
    why: Mapped[str] = mapped_column(String(240))
    made_from: Mapped[int]
    made_at: Mapped[datetime]
