"""One program at a time makes a copy in pieces or tidies them; SQLite's own locks keep the turns.

The system lets go of such a lock when its program dies, however it dies.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from resale.storage.backup.manifest import CopyError
from resale.storage.backup.pieces.store import FOLDER

PATIENCE = 1800.0
"""Seconds that a large shop's copy may take on a slow disk."""


def made_folder(copies: Path) -> None:
    """Make the folder of copies where it is not there.

    Raises
    ------
    CopyError
        If something else stands in its place.
    """
    try:
        copies.mkdir(parents=True, exist_ok=True)
    except (FileExistsError, NotADirectoryError):
        raise CopyError(
            "that is no folder", where=str(copies), remedy="name another for the copies"
        ) from None


@contextmanager
def turn(copies: Path, what: str, patience: float = PATIENCE) -> Iterator[None]:
    """Wait until no other program does the same in this folder of copies.

    Parameters
    ----------
    copies : Path
        The folder.
    what : str
        A word for what is done; two words do not wait for each other.
    patience : float
        Seconds to wait.

    Raises
    ------
    CopyError
        If it takes too long.
    """
    made_folder(copies)
    place = copies / FOLDER
    place.mkdir(exist_ok=True)
    with closing(
        sqlite3.connect(place / f".{what}.lock", timeout=patience, isolation_level=None)
    ) as lock:
        try:
            lock.execute("BEGIN EXCLUSIVE")
        except sqlite3.OperationalError as fault:
            if (fault.sqlite_errorcode & 0xFF) != sqlite3.SQLITE_BUSY:
                raise
            raise CopyError(
                "another program is making a copy here and does not come to an end",
                where=str(copies),
                remedy="look whether it still runs, and do it again",
            ) from None
        yield
