"""An insert that can say what happens to a row that is there already, on either database."""

from __future__ import annotations

from typing import Any, cast

from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session


def insert(session: Session, table: type[Any]) -> sqlite.Insert:
    """Begin an insert in the words of the session's database.

    Both databases know ``on_conflict_do_nothing`` and ``on_conflict_do_update`` with the same
    arguments, but SQLAlchemy has an insert of its own for each.

    Parameters
    ----------
    session : Session
        Whose database decides.
    table : class
        A table as the ORM knows it.

    Returns
    -------
    insert
        Of SQLite; PostgreSQL's takes the same calls.
    """
    if session.get_bind().dialect.name == "postgresql":
        return cast("sqlite.Insert", postgresql.insert(table))
    return sqlite.insert(table)
