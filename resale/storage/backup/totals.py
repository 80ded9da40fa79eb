"""Counting what a file of records holds, by plain queries that anyone can repeat with sqlite3."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

_TABLES = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
_SOLD = "SELECT currency, SUM(amount) FROM event WHERE what = 'sold' GROUP BY currency"


@dataclass(frozen=True)
class Totals:
    """What a file of records holds.

    Attributes
    ----------
    revision : str
        Of its tables; empty where it has none of ours.
    counts : dict of str to int
        Rows by table.
    sold : dict of str to int
        All lines 'sold' as written, corrected ones among them, in minor units by currency.
    """

    revision: str
    counts: dict[str, int]
    sold: dict[str, int]


def totals_of(path: Path) -> Totals:
    """Count what a file of records holds, without writing to it."""
    with _reading(path) as records:
        tables = sorted(name for (name,) in records.execute(_TABLES))
        counts = {
            # The names are the file's own, not a stranger's.
            name: int(records.execute(f'SELECT COUNT(*) FROM "{name}"').fetchone()[0])  # noqa: S608
            for name in tables
        }
        sold = {}
        if "event" in counts:
            sold = {code: int(amount or 0) for code, amount in records.execute(_SOLD)}
        revision = ""
        if counts.get("alembic_version"):
            revision = str(records.execute("SELECT version_num FROM alembic_version").fetchone()[0])
    return Totals(revision, counts, sold)


def damage_in(path: Path) -> str:
    """Let the database look through a file of records.

    Returns
    -------
    str
        The first thing that is wrong; empty where nothing is.
    """
    with _reading(path) as records:
        found = str(records.execute("PRAGMA integrity_check").fetchone()[0])
        if found != "ok":
            return found
        loose = records.execute("PRAGMA foreign_key_check").fetchone()
    return "" if loose is None else f"a row of {loose[0]} points to nothing"


@contextmanager
def _reading(path: Path) -> Iterator[sqlite3.Connection]:
    connection = sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)
    try:
        yield connection
    finally:
        connection.close()
