"""A small file of SQLite in the shop's folder, beside the records and never among them.

The processes that serve a shop on one machine share it: how often somebody guessed, how far work
is. It waits for no import that is writing the records, a copy of the shop leaves it out, and
whoever removes it forgets only what minutes will forget anyway. So it is not written through to
the disk.
"""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import TypeVar

NAME = ".between.db"
PATIENCE = 5.0
_TABLES = """
CREATE TABLE IF NOT EXISTS guess (id INTEGER PRIMARY KEY, who TEXT NOT NULL, at REAL NOT NULL,
    until REAL NOT NULL);
CREATE INDEX IF NOT EXISTS guess_who ON guess (who, at);
CREATE INDEX IF NOT EXISTS guess_until ON guess (until);
CREATE TABLE IF NOT EXISTS work (key TEXT PRIMARY KEY, said TEXT NOT NULL, beat REAL NOT NULL);
"""
_HARMED = {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB}
_own: dict[Path, sqlite3.Connection] = {}
_lock = threading.Lock()

T = TypeVar("T")


def between(folder: Path, work: Callable[[sqlite3.Connection], T]) -> T:
    """Read and write the file in one go: no other process does meanwhile.

    Where it cannot be written, as on a full disk, this process goes on alone in memory: nobody is
    kept out, and nobody guesses without end.

    Parameters
    ----------
    folder : Path
        The shop's.
    work : function of a connection
        What is done. It may be done twice.
    """
    path = folder / NAME
    try:
        with closing(sqlite3.connect(path, timeout=PATIENCE, isolation_level=None)) as connection:
            return _in_one_go(connection, work)
    except sqlite3.Error as fault:
        if getattr(fault, "sqlite_errorcode", 0) & 0xFF in _HARMED:
            path.unlink(missing_ok=True)
    with _lock:
        if folder not in _own:
            _own[folder] = sqlite3.connect(
                ":memory:", isolation_level=None, check_same_thread=False
            )
        return _in_one_go(_own[folder], work)


def _in_one_go(connection: sqlite3.Connection, work: Callable[[sqlite3.Connection], T]) -> T:
    connection.execute("PRAGMA synchronous = OFF")
    if not connection.execute("SELECT 1 FROM sqlite_master").fetchone():
        connection.executescript(_TABLES)
    connection.execute("BEGIN IMMEDIATE")
    try:
        done = work(connection)
    except BaseException:
        connection.execute("ROLLBACK")
        raise
    connection.execute("COMMIT")
    return done
