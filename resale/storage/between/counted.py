"""How often somebody did what may be done so often: exactly, over all processes of a shop.

Of whom is kept as a digest alone: what a stranger types as a name may be a password.
"""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from resale.storage.between.between_file import PATIENCE, between


class Limit(NamedTuple):
    """So many within so many seconds."""

    most: int
    seconds: float


class Full(NamedTuple):
    """There is no place, and so many seconds until there is one."""

    wait: float


def take_places(
    folder: Path, limits: Mapping[str, Limit], at: float, amount: int = 1
) -> Sequence[int] | Full:
    """Take a place under every limit, or under none.

    Parameters
    ----------
    folder : Path
        The shop's.
    limits : dict of str to Limit
        By whose are counted together.
    at : float
        Now, in seconds since 1970.
    amount : int
        Places under each.

    Returns
    -------
    sequence of int, or Full
        The places, to be given back by.
    """

    def work(file: sqlite3.Connection) -> Sequence[int] | Full:
        # What lies ahead was written before the clock was put back: nobody waits for that.
        past = "DELETE FROM guess WHERE until <= ? OR at > ?"
        file.execute(past, (at, at + 2 * PATIENCE))
        for who, limit in limits.items():
            made = _times(file, who, at - limit.seconds)
            if len(made) + amount > limit.most:
                last = made[max(len(made) - limit.most, 0)] if made else at
                return Full(last + limit.seconds - at)
        add = "INSERT INTO guess (who, at, until) VALUES (?, ?, ?) RETURNING id"
        rows = [(_digest(who), at, at + limit.seconds) for who, limit in limits.items()]
        return [int(file.execute(add, row).fetchone()[0]) for row in rows for _ in range(amount)]

    return between(folder, work)


def give_back(folder: Path, places: Sequence[int]) -> None:
    """Give places back.

    Parameters
    ----------
    folder : Path
        The shop's.
    places : sequence of int
        As they were taken.
    """
    rows = [(one,) for one in places]
    between(folder, lambda file: file.executemany("DELETE FROM guess WHERE id = ?", rows))


def taken(folder: Path, who: str, since: float) -> Sequence[float]:
    """When places were taken, the oldest first.

    Parameters
    ----------
    folder : Path
        The shop's.
    who : str
        Whose.
    since : float
        From when on.
    """
    return between(folder, lambda file: _times(file, who, since))


def forget(folder: Path, who: str | None = None) -> None:
    """Free all places of somebody, or of everybody.

    Parameters
    ----------
    folder : Path
        The shop's.
    who : str or None
        None is everybody.
    """
    words, values = (" WHERE who = ?", (_digest(who),)) if who else ("", ())
    between(folder, lambda file: file.execute(f"DELETE FROM guess{words}", values))  # noqa: S608


def _times(file: sqlite3.Connection, who: str, since: float) -> list[float]:
    query = "SELECT at FROM guess WHERE who = ? AND at > ? ORDER BY at"
    return [float(one[0]) for one in file.execute(query, (_digest(who), since))]


def _digest(who: str) -> str:
    return hashlib.sha256(who.encode("utf-8", "surrogatepass")).hexdigest()
