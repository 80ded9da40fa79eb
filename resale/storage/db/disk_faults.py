"""What a disk that is full, for reading only or failing does to a write, in one sentence.

A write that fails is taken back whole: what was answered as saved stays, what was not is not there.
"""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import SQLAlchemyError

from resale.errors import ResaleError

_FULL = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}
_READ_ONLY = {errno.EROFS, errno.EACCES, errno.EPERM}
_SHMSIZE = sqlite3.SQLITE_IOERR | (19 << 8)
_UNTOUCHED = "what was saved before is all there"


class DiskError(ResaleError):
    """The disk did not take what was to be written."""


class DiskFullError(DiskError):
    """There is no room left."""


class ReadOnlyDiskError(DiskError):
    """The place is for reading only."""


def disk_fault(fault: BaseException) -> DiskError | None:
    """Find out whether the disk is behind a fault, and say so in a sentence.

    Looks at the fault, at what is wrapped in it, and at what it came from.

    Returns
    -------
    DiskError or None
        None where something else is behind it.
    """
    seen: set[int] = set()
    links: list[BaseException | None] = [fault]
    while links:
        one = links.pop(0)
        if one is None or id(one) in seen:
            continue
        seen.add(id(one))
        found = _of_one(one)
        if found is not None:
            return found
        wrapped = (getattr(one, name, None) for name in ("orig", "original_exception"))
        links += [*wrapped, one.__cause__, one.__context__]
    return None


@contextmanager
def disk_faults_said() -> Iterator[None]:
    """Turn faults of the disk into sentences; others pass as they are.

    Raises
    ------
    DiskError
        If the disk is full, or refuses.
    """
    try:
        yield
    except (OSError, sqlite3.Error, SQLAlchemyError) as fault:
        known = disk_fault(fault)
        if known is None:
            raise
        raise known from fault


def _of_one(fault: BaseException) -> DiskError | None:
    if isinstance(fault, DiskError):
        return fault
    if isinstance(fault, sqlite3.Error):
        return _of_sqlite(fault)
    state = getattr(fault, "sqlstate", None)
    if state in _STATES:
        return _STATES[state]("")
    return _of_system(fault) if isinstance(fault, OSError) else None


def _of_system(fault: OSError) -> DiskError | None:
    place = str(fault.filename or "")
    if fault.errno in _FULL:
        return _full(place)
    if fault.errno in _READ_ONLY:
        return _read_only(place)
    return _failing(str(fault.strerror), place) if fault.errno == errno.EIO else None


def _of_sqlite(fault: sqlite3.Error) -> DiskError | None:
    code = getattr(fault, "sqlite_errorcode", 0)
    # The low byte is the family of the fault, the rest says where it struck.
    family = code & 0xFF
    if family == sqlite3.SQLITE_FULL or code == _SHMSIZE:
        return _full("")
    if family in {sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN}:
        return _read_only("")
    if family in {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}:
        return DiskError(
            f"another program holds the records and did not let go of them; {_UNTOUCHED}",
            remedy="wait a moment and do it again",
        )
    if family == sqlite3.SQLITE_IOERR:
        return _failing(str(fault), "")
    if family in {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB}:
        return DiskError(
            f"the file of the records is damaged ({fault})",
            remedy="close the shop and bring the newest copy back with 'resale bring-back'",
        )
    return None


def _full(place: str) -> DiskFullError:
    return DiskFullError(
        f"the disk is full, so this was not written; {_UNTOUCHED}",
        where=place,
        remedy="make room and do it again",
    )


def _read_only(place: str) -> ReadOnlyDiskError:
    return ReadOnlyDiskError(
        f"the disk or the folder may only be read, so this was not written; {_UNTOUCHED}",
        where=place,
        remedy="let the program write there and do it again",
    )


def _failing(why: str, place: str) -> DiskError:
    return DiskError(
        f"the disk did not take this ({why}); {_UNTOUCHED}",
        where=place,
        remedy="look whether it is full or failing, and do it again",
    )


# https://www.postgresql.org/docs/current/errcodes-appendix.html
_STATES = {"53100": _full, "25006": _read_only}
