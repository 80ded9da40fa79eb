"""Reading a copy of a shop through: every byte is what it was, every total comes out."""

from __future__ import annotations

import hashlib
import sqlite3
import tempfile
import zipfile
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from alembic.script import ScriptDirectory

from resale.storage.backup.manifest import (
    MANIFEST,
    UNREADABLE,
    CopyError,
    CopyManifest,
    FileSeal,
    altered,
    newer,
    read_manifest,
)
from resale.storage.backup.server_dump import DUMP, totals_of_dump
from resale.storage.backup.totals import Totals, damage_in, totals_of
from resale.storage.db.database import FILE_NAME, migration_config
from resale.storage.db.disk_faults import disk_fault

AT_ONCE = 1 << 20
RECORDS = frozenset({FILE_NAME, DUMP})
"""What the records of a copy may lie in: a file of SQLite, or a dump of a server."""


def check_archive(path: Path) -> CopyManifest:
    """Read a copy through and throw away what was read; its records are looked at on the way.

    Raises
    ------
    CopyError
        If it was altered, or made by a later version.
    """
    with tempfile.TemporaryDirectory(dir=path.parent, prefix=".copy-") as place:
        with opened(path) as (archive, manifest):
            for name, seal in manifest.files.items():
                target = Path(place) / name if name in RECORDS else None
                unpack(archive, name, seal, target, path.name)
        check_records(Path(place), manifest, path.name)
        return manifest


@contextmanager
def opened(path: Path) -> Iterator[tuple[zipfile.ZipFile, CopyManifest]]:
    """Open a copy, see that it holds what it says and that this version can read it.

    Raises
    ------
    CopyError
        If there is no such file, it was altered, or this version cannot read it.
    """
    try:
        archive = zipfile.ZipFile(path)
    except FileNotFoundError:
        raise CopyError(
            "there is no such file", where=str(path), remedy="look at the name"
        ) from None
    except IsADirectoryError:
        raise CopyError("that is a folder", where=str(path), remedy="name a copy in it") from None
    except UNREADABLE as fault:
        if disk_fault(fault) is not None:
            raise
        raise altered(path.name, "it is no whole zip") from None
    with archive:
        manifest = read_manifest(archive, path.name)
        _check_names(archive, manifest, path.name)
        _check_revision(manifest, path.name)
        yield archive, manifest


def unpack(
    archive: zipfile.ZipFile, name: str, seal: FileSeal, target: Path | None, copy: str
) -> None:
    """Read one file of a copy and see that it is what was sealed.

    Parameters
    ----------
    target : Path or None
        Where to write it; None only looks.
    copy : str
        Name of the copy, for the sentence where it fails.

    Raises
    ------
    CopyError
        If the file cannot be read, or is not what was sealed.
    """
    digest, left = hashlib.sha256(), seal.size
    try:
        with archive.open(name) as file:
            # One byte more than was sealed is enough to know that it is another.
            parts = iter(lambda: file.read(min(AT_ONCE, left + 1)), b"")
            if target is None:
                for part in parts:
                    digest.update(part)
                    left = _less(left, part, name, copy)
            else:
                target.parent.mkdir(parents=True, exist_ok=True)
                with target.open("wb") as out:
                    for part in parts:
                        digest.update(part)
                        left = _less(left, part, name, copy)
                        out.write(part)
    except UNREADABLE as fault:
        # Where it is the disk that refuses to be written, the copy is not to blame.
        if disk_fault(fault) is not None:
            raise
        raise altered(copy, f"{name} cannot be read") from None
    if left or digest.hexdigest() != seal.sha256:
        raise altered(copy, f"{name} is not what it was")


def _less(left: int, part: bytes, name: str, copy: str) -> int:
    if len(part) > left:
        raise altered(copy, f"{name} is longer than it was")
    return left - len(part)


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


def _check_names(archive: zipfile.ZipFile, manifest: CopyManifest, copy: str) -> None:
    names = Counter(entry.filename for entry in archive.infolist())
    twice = next((name for name, times in names.items() if times > 1), None)
    if twice:
        raise altered(copy, f"{twice[:60]} is in it twice")
    for name in manifest.files:
        if name not in names:
            raise altered(copy, f"{name[:60]} is missing")
    strange = set(names) - set(manifest.files) - {MANIFEST}
    if strange:
        raise altered(copy, f"{min(strange)[:60]} does not belong in it")
    if len(RECORDS & set(manifest.files)) != 1:
        raise altered(copy, "there are no records in it")


def _check_revision(manifest: CopyManifest, copy: str) -> None:
    known = {
        one.revision for one in ScriptDirectory.from_config(migration_config()).walk_revisions()
    }
    if manifest.revision not in known:
        raise newer(copy, f"{manifest.program}, tables {manifest.revision}")
