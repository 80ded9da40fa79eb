"""Whether records are invented, as they say themselves: a line that nobody can take out again.

A file beside the records may be absent, or lie beside others; the line goes wherever they go.
"""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Connection, Engine, exists, select
from sqlalchemy.exc import DatabaseError

from resale.storage.db.people_tables import AuditEntryRow
from resale.storage.db.tables import Base
from resale.storage.people.audit_log import write_audit_entry

# No person has this role, so nobody can write the line by what they do.
ROLE = "invented"
LAID_OUT = "laid out the invented shop"


def mark_invented(engine: Engine, at: datetime) -> None:
    """Write into empty records that all they will hold is invented.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    at : datetime
        Now, with its zone.
    """
    write_audit_entry(engine, by_whom=ROLE, role=ROLE, what=LAID_OUT, about="", at=at)


def is_invented(engine: Engine) -> bool:
    """Whether all that records hold is invented."""
    marked = exists().where(AuditEntryRow.role == ROLE, AuditEntryRow.what == LAID_OUT)
    try:
        with engine.connect() as connection:
            return bool(connection.scalar(select(marked)))
    except DatabaseError:
        # Records of a version that wrote no such lines.
        return False


def is_empty(engine: Engine) -> bool:
    """Whether records hold nothing at all; those that cannot be asked hold something."""
    try:
        with engine.connect() as connection:
            return not any(_has_rows(connection, name) for name in Base.metadata.tables)
    except DatabaseError:
        return False


def _has_rows(connection: Connection, name: str) -> bool:
    table = Base.metadata.tables[name]
    return bool(connection.scalar(select(exists(select(table)))))
