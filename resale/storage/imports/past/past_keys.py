"""What of a file is in the records already: keys of sales, numbers, places of the same file."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from resale.storage.db.tables import ImportRun, ItemRow

# The most that SQLite takes in one question.
AT_ONCE = 500
LOADED, OF = "loaded", "of"


def known_keys(session: Session, keys: Iterable[str]) -> set[str]:
    """Which of these sales are in the records already.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    keys : iterable of str
        Of sales in a file.

    Returns
    -------
    set of str
    """
    found: set[str] = set()
    for part in _parts(keys):
        found.update(
            session.scalars(select(ItemRow.client_key).where(ItemRow.client_key.in_(part)))
        )
    return found


def used_numbers(session: Session, numbers: Iterable[str]) -> set[str]:
    """Which of these numbers belong to an item already.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    numbers : iterable of str
        As they stand in a file.

    Returns
    -------
    set of str
    """
    found: set[str] = set()
    for part in _parts(numbers):
        found.update(session.scalars(select(ItemRow.number).where(ItemRow.number.in_(part))))
    return found


def loaded_places(session: Session, digest: str) -> set[int]:
    """Places of the rows that this very file brought.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    digest : str
        SHA-256 of the file, in hexadecimal.

    Returns
    -------
    set of int
    """
    found: set[int] = set()
    for run in runs_of(session, digest):
        found |= places_in(str(run.counts.get(LOADED, "")))
    return found


def runs_of(session: Session, digest: str) -> list[ImportRun]:
    """Loads of this very file, the first one first; what was left out may have come in later.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    digest : str
        SHA-256 of the file, in hexadecimal.

    Returns
    -------
    list of ImportRun
    """
    of_it = or_(ImportRun.digest == digest, ImportRun.counts[OF].as_string() == digest)
    return list(session.scalars(select(ImportRun).where(of_it).order_by(ImportRun.id)))


def as_ranges(places: Collection[int]) -> str:
    """Write places shortly.

    Examples
    --------
    >>> as_ranges({0, 1, 2, 5, 7, 8}), sorted(places_in("0-2 5"))
    ('0-2 5 7-8', [0, 1, 2, 5])
    """
    runs: list[list[int]] = []
    for place in sorted(places):
        if runs and place == runs[-1][1] + 1:
            runs[-1][1] = place
        else:
            runs.append([place, place])
    return " ".join(str(first) if first == last else f"{first}-{last}" for first, last in runs)


def places_in(ranges: str) -> set[int]:
    """Read what `as_ranges` wrote."""
    found: set[int] = set()
    for part in ranges.split():
        first, _, last = part.partition("-")
        found.update(range(int(first), int(last or first) + 1))
    return found


def _parts(words: Iterable[str]) -> Iterable[list[str]]:
    listed = list(words)
    return (listed[start : start + AT_ONCE] for start in range(0, len(listed), AT_ONCE))
