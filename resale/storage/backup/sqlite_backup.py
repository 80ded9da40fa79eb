"""SQLite's online backup: a file of records copied as it is at one moment, while others write.

See https://www.sqlite.org/backup.html.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from sqlalchemy import Engine


def copy_online(engine: Engine, target: Path) -> None:
    """Copy the records of an engine into a new file.

    Parameters
    ----------
    engine : Engine
        Of SQLite.

    Raises
    ------
    TypeError
        If the records are not in SQLite.
    """
    target.unlink(missing_ok=True)
    with closing(sqlite3.connect(target)) as copy:
        connection = engine.raw_connection()
        try:
            source = connection.driver_connection
            if not isinstance(source, sqlite3.Connection):
                raise TypeError("only records in SQLite are copied like this")
            source.backup(copy)
        finally:
            connection.close()
        # One file is the whole of it, wherever it is carried.
        copy.execute("PRAGMA journal_mode = DELETE")
