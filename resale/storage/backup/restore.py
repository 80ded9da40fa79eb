"""Bringing a copy of a shop back: checked in a folder of its own, then put in place in one step.

What stood there before is set aside under another name. Nothing is removed.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from resale.config.change_of_places import carry, note_of, write_note
from resale.config.private import private_folder
from resale.storage.backup.catalogue import FOLDER
from resale.storage.backup.manifest import CopyError, CopyManifest
from resale.storage.backup.verify import check_records, opened, unpack
from resale.storage.db.database import FILE_NAME, open_records
from resale.storage.db.disk_faults import disk_faults_said
from resale.whole_file import sync_folder


@dataclass(frozen=True)
class Restored:
    """What was brought back.

    Attributes
    ----------
    folder : Path
        The shop's data folder.
    set_aside : Path or None
        Where the shop that stood there is now; None where there was none.
    """

    folder: Path
    manifest: CopyManifest
    set_aside: Path | None


def restore_backup(path: Path, folder: Path, at: datetime) -> Restored:
    """Bring a copy back into a data folder; records of an earlier version are brought up to date.

    Parameters
    ----------
    path : Path
        The copy.
    folder : Path
        Empty, not there yet, or a shop's; that shop is set aside, whole, beside it.
    at : datetime
        Now, in the shop's zone: it names what is set aside.

    Raises
    ------
    CopyError
        If the copy was altered or made by a later version, or the shop is open.
    DiskError
        If there is no room for it.
    """
    # A link to a folder on another disk stays a link; the folder itself is what changes places.
    folder = folder.resolve()
    with disk_faults_said(), opened(path) as copy:
        folder.parent.mkdir(parents=True, exist_ok=True)
        stage = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
        try:
            manifest = copy.manifest
            for name in manifest.files:
                unpack(copy, name, stage / name)
            _belongs_in_a_folder(manifest, path.name)
            check_records(stage, manifest, path.name)
            open_records(stage).dispose()
            to_disk(stage)
            aside = change_places(stage, folder, at)
        finally:
            shutil.rmtree(stage, ignore_errors=True)
    return Restored(folder, manifest, aside)


def _belongs_in_a_folder(manifest: CopyManifest, copy: str) -> None:
    if manifest.shop_key:
        raise CopyError(
            "the records in this copy are those of a server",
            where=copy,
            remedy="name the server in records_url, and the copy goes back there",
        )


def change_places(stage: Path, folder: Path, at: datetime) -> Path | None:
    """Put the new folder where the old one stood; the old one comes back if that fails.

    Parameters
    ----------
    stage : Path
        The unpacked copy, beside the shop's folder.
    folder : Path
        The shop's.
    at : datetime
        Now; it names what is set aside.

    Returns
    -------
    Path or None
        Where the old folder lies now; None where there was none.

    Raises
    ------
    CopyError
        If the folder is a file, or a shop is open in it.
    """
    private_folder(stage)
    if not folder.exists():
        stage.replace(folder)
        sync_folder(folder.parent)
        return None
    if not folder.is_dir():
        raise CopyError("that is no folder", where=str(folder), remedy="name another with --folder")
    if not any(folder.iterdir()):
        folder.rmdir()
        _move(stage, folder)
        return None
    _see_that_it_is_closed(folder / FILE_NAME)
    aside = _free_name(folder, at)
    write_note(folder, stage, aside, FOLDER)
    sync_folder(folder.parent)
    try:
        _move(folder, aside)
        try:
            _move(stage, folder)
        except BaseException:
            aside.replace(folder)
            raise
        # Copies that lie in the shop's own folder go on lying there.
        carry(FOLDER, aside, folder)
        sync_folder(folder.parent)
    finally:
        note_of(folder).unlink()
    return aside


def _move(folder: Path, place: Path) -> None:
    try:
        folder.replace(place)
    except OSError as fault:
        raise CopyError(
            f"the folder cannot be given another name ({fault.strerror}), and is as it was",
            where=str(folder),
            remedy="bring the copy back into a new folder with --folder",
        ) from fault


def _free_name(folder: Path, at: datetime) -> Path:
    name, more = f"{folder.name}-set-aside-{at:%Y-%m-%d-%H%M%S}", 1
    place = folder.with_name(name)
    while place.exists():
        more += 1
        place = folder.with_name(f"{name}-{more}")
    return place


def _see_that_it_is_closed(records: Path) -> None:
    """Refuse while a program has the records open: it would go on writing to what is set aside.

    SQLite leaves its write-ahead log only when nobody else has the file open. A file so damaged
    that it cannot be asked is in nobody's use.
    """
    if not records.is_file():
        return
    with closing(sqlite3.connect(records, timeout=0)) as connection:
        try:
            connection.execute("PRAGMA journal_mode = DELETE")
        except sqlite3.OperationalError as fault:
            if (fault.sqlite_errorcode & 0xFF) in {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}:
                raise CopyError(
                    "the shop is open, and nothing was brought back",
                    where=str(records.parent),
                    remedy="close it where it runs, and bring the copy back then",
                ) from None
        except sqlite3.DatabaseError:
            pass


def to_disk(folder: Path) -> None:
    """Write all of a folder through to the disk before it takes another's place."""
    for path in [one for one in folder.rglob("*") if one.is_file()]:
        with suppress(PermissionError), path.open("rb+") as file:
            os.fsync(file.fileno())
    for path in [folder, *(one for one in folder.rglob("*") if one.is_dir())]:
        sync_folder(path)
