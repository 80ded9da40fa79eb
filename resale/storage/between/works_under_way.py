"""How far work is, told to every process that serves a shop's folder: each may be asked."""

from __future__ import annotations

import sqlite3
from dataclasses import asdict, dataclass
from json import dumps, loads
from pathlib import Path

from resale.storage.between.between_file import between

BEAT = 1.0
"""Seconds after which a process says again how far its work is."""

SILENT = 60.0
"""Seconds of silence after which a process that worked is taken to have ended."""

KEPT_SECONDS = 86_400.0


@dataclass(frozen=True)
class WorkTold:
    """What is told of a piece of work.

    Attributes
    ----------
    leads_to, back : str
        Addresses for afterwards, and for where it fails.
    trouble : str
        A sentence, once it failed.
    kept : str
        What a process that was not at work needs to take it up, where that is a little.
    """

    key: str
    name: str
    leads_to: str
    back: str
    done: int = 0
    of: int = 0
    words: str = "Begun"
    trouble: str = ""
    kept: str = ""
    ended: bool = False


def claim(folder: Path, work: WorkTold, now: float) -> WorkTold | None:
    """Begin work, unless another process does the same.

    Parameters
    ----------
    folder : Path
        The shop's.
    work : WorkTold
        What is to be begun.
    now : float
        In seconds since 1970.

    Returns
    -------
    WorkTold or None
        What another process does; None where this one may begin.
    """

    def look(file: sqlite3.Connection) -> WorkTold | None:
        file.execute("DELETE FROM work WHERE beat < ?", (now - KEPT_SECONDS,))
        known = _read(file, work.key, now)
        if known is not None and not known.ended:
            return known
        _write(file, work, now)
        return None

    return between(folder, look)


def tell(folder: Path, work: WorkTold, now: float) -> None:
    """Say how far work is, or that it ended.

    Parameters
    ----------
    folder : Path
        The shop's.
    work : WorkTold
    now : float
        In seconds since 1970.
    """
    between(folder, lambda file: _write(file, work, now))


def told_of(folder: Path, key: str, now: float) -> WorkTold | None:
    """What is told of work; None where nobody has begun it of late.

    Work whose process has been silent has ended, with a sentence.

    Parameters
    ----------
    folder : Path
        The shop's.
    key : str
        Of the work.
    now : float
        In seconds since 1970.
    """
    return between(folder, lambda file: _read(file, key, now))


def forget_work(folder: Path, key: str) -> None:
    """Forget work that nobody needs any more.

    Parameters
    ----------
    folder : Path
        The shop's.
    key : str
        Of the work.
    """
    between(folder, lambda file: file.execute("DELETE FROM work WHERE key = ?", (key,)))


def _read(file: sqlite3.Connection, key: str, now: float) -> WorkTold | None:
    row = file.execute("SELECT said, beat FROM work WHERE key = ?", (key,)).fetchone()
    if row is None:
        return None
    found = WorkTold(**loads(row[0]))
    if not found.ended and not 0 <= now - row[1] + BEAT <= SILENT:
        trouble = "The program that did this was closed before it was done; begin it again."
        return WorkTold(**{**asdict(found), "ended": True, "trouble": trouble})
    return found


def _write(file: sqlite3.Connection, work: WorkTold, now: float) -> None:
    words = "INSERT INTO work VALUES (?, ?, ?) ON CONFLICT (key) DO UPDATE SET "
    words += "said = excluded.said, beat = excluded.beat"
    file.execute(words, (work.key, dumps(asdict(work)), now))
