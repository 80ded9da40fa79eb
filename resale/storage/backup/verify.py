"""Reading a copy of a shop through: every byte is what it was, every total comes out."""

from __future__ import annotations

import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from alembic.script import ScriptDirectory

from resale.storage.backup.manifest import CopyError, CopyManifest, altered, newer
from resale.storage.backup.open_copy import OpenCopy
from resale.storage.backup.pieces.listing import SUFFIX
from resale.storage.backup.pieces.reading import open_pieces
from resale.storage.backup.server_dump import DUMP, totals_of_dump
from resale.storage.backup.totals import Totals, damage_in, totals_of
from resale.storage.backup.zip_reading import open_zip
from resale.storage.db.database import FILE_NAME, migration_config

RECORDS = frozenset({FILE_NAME, DUMP})
"""What the records of a copy may lie in: a file of SQLite, or a dump of a server."""


def check_archive(path: Path, copies: Path | None = None) -> CopyManifest:
    """Read a copy through and throw away what was read; its records are looked at on the way.

    Parameters
    ----------
    path : Path
        The copy.
    copies : Path or None
        Where its pieces lie, if not beside it.

    Raises
    ------
    CopyError
        If it was altered, or made by a later version.
    """
    with tempfile.TemporaryDirectory(dir=path.parent, prefix=".copy-") as place:
        with opened(path, copies) as copy:
            for name in copy.manifest.files:
                unpack(copy, name, Path(place) / name if name in RECORDS else None)
        check_records(Path(place), copy.manifest, path.name)
        return copy.manifest


@contextmanager
def opened(path: Path, copies: Path | None = None) -> Iterator[OpenCopy]:
    """Open a copy, see that it holds what it says and that this version can read it.

    Parameters
    ----------
    path : Path
        The copy, in one file or in pieces.
    copies : Path or None
        Where its pieces lie, if not beside it.

    Raises
    ------
    CopyError
        If there is no such file, it was altered, or this version cannot read it.
    """
    if path.is_dir():
        raise CopyError("that is a folder", where=str(path), remedy="name a copy in it")
    if not path.exists():
        raise CopyError("there is no such file", where=str(path), remedy="look at the name")
    in_pieces = path.suffix == SUFFIX
    with open_pieces(path, copies or path.parent) if in_pieces else open_zip(path) as copy:
        if len(RECORDS & set(copy.manifest.files)) != 1:
            raise altered(path.name, "there are no records in it")
        _check_revision(copy.manifest, path.name)
        yield copy


def unpack(copy: OpenCopy, name: str, target: Path | None) -> None:
    """Read one file of a copy and see that it is what was sealed.

    Parameters
    ----------
    name : str
        Of the file in the copy.
    target : Path or None
        Where to write it; None only looks.

    Raises
    ------
    CopyError
        If the file cannot be read, or is not what was sealed.
    """
    if target is None:
        for _ in copy.parts(name):
            pass
        return
    target.parent.mkdir(parents=True, exist_ok=True)
    with target.open("wb") as out:
        for part in copy.parts(name):
            out.write(part)


def check_records(folder: Path, manifest: CopyManifest, copy: str) -> None:
    """See that the unpacked records are whole, and hold what the manifest says.

    Parameters
    ----------
    folder : Path
        Where the copy was unpacked.
    manifest : CopyManifest
    copy : str
        Name of the copy, for the sentence.

    Raises
    ------
    CopyError
        If they are damaged, or hold another thing.
    """
    if DUMP in manifest.files:
        check_totals(totals_of_dump(folder / DUMP), manifest, copy)
        return
    try:
        damage, totals = damage_in(folder / FILE_NAME), totals_of(folder / FILE_NAME)
    except sqlite3.DatabaseError as fault:
        raise altered(copy, f"the records cannot be opened: {fault}") from None
    if damage:
        raise altered(copy, f"the records are damaged: {damage}")
    check_totals(totals, manifest, copy)


def check_totals(totals: Totals, manifest: CopyManifest, copy: str) -> None:
    """See that records hold what the manifest says.

    Parameters
    ----------
    totals : Totals
        What the records hold.
    manifest : CopyManifest
    copy : str
        Name of the copy, for the sentence.

    Raises
    ------
    CopyError
        If tables, rows or sums are not those of the manifest.
    """
    told = manifest.totals
    if totals.revision != told.revision:
        raise altered(copy, f"its tables are of {totals.revision or 'none'}, not {told.revision}")
    for name, count in told.counts.items():
        if totals.counts.get(name) != count:
            raise altered(copy, f"{name}: {totals.counts.get(name, 0):,} rows, not {count:,}")
    if totals != told:
        raise altered(copy, "what was sold adds up to another sum")


def _check_revision(manifest: CopyManifest, copy: str) -> None:
    known = {
        one.revision for one in ScriptDirectory.from_config(migration_config()).walk_revisions()
    }
    if manifest.revision not in known:
        raise newer(copy, f"{manifest.program}, tables {manifest.revision}")
