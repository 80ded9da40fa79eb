"""Deeds: who did what to what and when. Rows are only ever added; the database refuses the rest."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Engine, Select, select
from sqlalchemy.orm import Session

from resale.storage.db.people_tables import DeedRow
from resale.storage.db.utc import stored, told

PAGE = 100
_AT_ONCE = 1000


@dataclass(frozen=True, slots=True)
class Deed:
    """One line of who did what."""

    id: int
    made_at: datetime
    by_whom: str
    role: str
    what: str
    about: str
    data: dict[str, Any]


def write_deed(
    engine: Engine,
    *,
    by_whom: str,
    role: str,
    what: str,
    about: str,
    at: datetime,
    data: dict[str, Any] | None = None,
) -> None:
    """Write down what somebody did, in a transaction of its own."""
    with Session(engine.execution_options(writes=True)) as session, session.begin():
        add_deed(session, by_whom=by_whom, role=role, what=what, about=about, at=at, data=data)


def add_deed(
    session: Session,
    *,
    by_whom: str,
    role: str,
    what: str,
    about: str,
    at: datetime,
    data: dict[str, Any] | None = None,
) -> None:
    """Write down what somebody did, in the transaction that does it."""
    row = DeedRow(
        made_at=stored(at),
        by_whom=by_whom[:60],
        role=role,
        what=what[:80],
        about=about[:120],
        data=data or {},
    )
    session.add(row)


def deeds(
    engine: Engine, *, by_whom: str = "", about: str = "", before: int | None = None
) -> tuple[Deed, ...]:
    """List deeds, the newest first.

    Parameters
    ----------
    by_whom, about : str
        Only those of one person, or to one thing; empty for all.
    before : int, optional
        Only those older than the deed of this id, for the next page.
    """
    wanted = select(DeedRow).order_by(DeedRow.id.desc()).limit(PAGE)
    if by_whom:
        wanted = wanted.where(DeedRow.by_whom == by_whom)
    if about:
        wanted = wanted.where(DeedRow.about == about)
    if before is not None:
        wanted = wanted.where(DeedRow.id < before)
    with Session(engine) as session:
        return tuple(map(_deed, session.scalars(wanted)))


def all_deeds(engine: Engine) -> Iterator[Deed]:
    """Give every deed, the oldest first, without holding them all."""
    last = 0
    while part := _after(engine, select(DeedRow).where(DeedRow.id > last)):
        yield from part
        last = part[-1].id


def _after(engine: Engine, wanted: Select[Any]) -> list[Deed]:
    with Session(engine) as session:
        return [_deed(row) for row in session.scalars(wanted.order_by(DeedRow.id).limit(_AT_ONCE))]


def _deed(row: DeedRow) -> Deed:
    return Deed(row.id, told(row.made_at), row.by_whom, row.role, row.what, row.about, row.data)
