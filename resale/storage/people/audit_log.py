"""The audit log: who did what to what, and when. Rows are added; the database refuses the rest."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Engine, Select, select
from sqlalchemy.orm import Session

from resale.storage.db.people_tables import AuditEntryRow
from resale.storage.db.utc import stored, told

PAGE = 100
_AT_ONCE = 1000


@dataclass(frozen=True, slots=True)
class AuditEntry:
    """One line of who did what."""

    id: int
    made_at: datetime
    by_whom: str
    role: str
    what: str
    about: str
    data: dict[str, Any]


def write_audit_entry(
    engine: Engine,
    *,
    by_whom: str,
    role: str,
    what: str,
    about: str,
    at: datetime,
    data: dict[str, Any] | None = None,
) -> None:
    """Write down what somebody did, in a transaction of its own.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    by_whom : str
        Name of the person or the device.
    role : str
        In which they did it.
    what : str
        What was done.
    about : str
        Number or name of what it was done to.
    at : datetime
        Now, with its zone.
    data : dict, optional
        What more is to be known, as plain values.
    """
    with Session(engine.execution_options(writes=True)) as session, session.begin():
        add_audit_entry(
            session, by_whom=by_whom, role=role, what=what, about=about, at=at, data=data
        )


def add_audit_entry(
    session: Session,
    *,
    by_whom: str,
    role: str,
    what: str,
    about: str,
    at: datetime,
    data: dict[str, Any] | None = None,
) -> None:
    """Write down what somebody did, in the transaction that does it.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    by_whom : str
        Name of the person or the device.
    role : str
        In which they did it.
    what : str
        What was done.
    about : str
        Number or name of what it was done to.
    at : datetime
        Now, with its zone.
    data : dict, optional
        What more is to be known, as plain values.
    """
    row = AuditEntryRow(
        made_at=stored(at),
        by_whom=by_whom[:60],
        role=role,
        what=what[:80],
        about=about[:120],
        data=data or {},
    )
    session.add(row)


def audit_entries(
    engine: Engine, *, by_whom: str = "", about: str = "", before: int | None = None
) -> tuple[AuditEntry, ...]:
    """List entries, the newest first.

    Parameters
    ----------
    by_whom, about : str
        Only those of one person, or to one thing; empty for all.
    before : int, optional
        Only those older than the entry of this id, for the next page.
    """
    wanted = select(AuditEntryRow).order_by(AuditEntryRow.id.desc()).limit(PAGE)
    if by_whom:
        wanted = wanted.where(AuditEntryRow.by_whom == by_whom)
    if about:
        wanted = wanted.where(AuditEntryRow.about == about)
    if before is not None:
        wanted = wanted.where(AuditEntryRow.id < before)
    with Session(engine) as session:
        return tuple(map(_entry, session.scalars(wanted)))


def all_audit_entries(engine: Engine) -> Iterator[AuditEntry]:
    """Give every entry, the oldest first, without holding them all."""
    last = 0
    while part := _after(engine, select(AuditEntryRow).where(AuditEntryRow.id > last)):
        yield from part
        last = part[-1].id


def _after(engine: Engine, wanted: Select[Any]) -> list[AuditEntry]:
    with Session(engine) as session:
        return [
            _entry(row)
            for row in session.scalars(wanted.order_by(AuditEntryRow.id).limit(_AT_ONCE))
        ]


def _entry(row: AuditEntryRow) -> AuditEntry:
    return AuditEntry(
        row.id, told(row.made_at), row.by_whom, row.role, row.what, row.about, row.data
    )
