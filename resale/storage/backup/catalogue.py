"""Copies of a shop: what each says of itself, where they lie, and which are let go."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from resale.config.settings import Settings
from resale.storage.backup.manifest import (
    UNREADABLE,
    CopyError,
    CopyManifest,
    NoSuchCopyError,
    altered,
    read_manifest,
)
from resale.storage.backup.pieces.listing import SUFFIX, read_listing
from resale.storage.backup.pieces.store import bytes_of_store
from resale.storage.backup.pieces.tidying import let_go_of_pieces
from resale.storage.backup.pieces.turns import turn
from resale.storage.db.disk_faults import disk_faults_said
from resale.whole_file import sync_folder

FOLDER = "copies"
NAME = re.compile(r"copy-\d{4}-\d{2}-\d{2}-\d{6}-(daily|by-hand)(-\d+)?\.(zip|pieces)")
CLOCKS_DIFFER = timedelta(minutes=5)
LATE = timedelta(minutes=30)


@dataclass(frozen=True)
class Backup:
    """A copy as it lies in the folder of copies.

    Attributes
    ----------
    size : int
        Bytes; of one in pieces, those that were new on its day.
    manifest : CopyManifest or None
        None where it cannot be read; `trouble` says why.
    """

    path: Path
    size: int
    manifest: CopyManifest | None
    trouble: str

    @property
    def is_shared(self) -> bool:
        """Whether it lies in pieces that other copies may name too."""
        return self.path.suffix == SUFFIX

    def is_ahead_of(self, now: datetime) -> bool:
        """Whether it says that it was made after now: one of two clocks was wrong."""
        return self.manifest is not None and self.manifest.made_at > now + CLOCKS_DIFFER


def copies_folder(settings: Settings) -> Path:
    """Where a shop's copies are kept."""
    return settings.data_folder / (settings.copies_folder or FOLDER)


def backups_in(folder: Path) -> tuple[Backup, ...]:
    """List the copies in a folder, the newest first."""
    if not folder.is_dir():
        return ()
    with disk_faults_said():
        paths = [path for path in folder.iterdir() if NAME.fullmatch(path.name)]
    return tuple(_backup_at(path) for path in sorted(paths, key=lambda one: one.name, reverse=True))


def copy_named(folder: Path, name: str) -> Path:
    """Find a copy by the name of its file.

    Parameters
    ----------
    folder : Path
        Where the shop's copies lie.
    name : str
        Of the file, without a folder.

    Returns
    -------
    Path

    Raises
    ------
    NoSuchCopyError
    """
    path = folder / name
    if not NAME.fullmatch(name) or not path.is_file():
        raise NoSuchCopyError("no copy of this name is kept", remedy="pick one of the list")
    return path


def room_taken(folder: Path) -> int:
    """Bytes that the copies in a folder take, their pieces among them."""
    with disk_faults_said():
        files = [path for path in folder.glob("copy-*") if NAME.fullmatch(path.name)]
        return sum(path.stat().st_size for path in files) + bytes_of_store(folder)


def let_go(folder: Path, keep: int, now: datetime) -> list[Path]:
    """Remove all daily copies but the newest; what was kept by hand stays until a hand removes it.

    Parameters
    ----------
    keep : int
        How many daily copies stay, at least 1.
    now : datetime
        A copy that is dated later than this was made by a wrong clock. It takes nobody's place,
        and stays: which day it is of is for a person to say.
    """
    daily = [one for one in backups_in(folder) if "-daily" in one.path.name]
    # A copy that cannot be read takes nobody's place either.
    good = [one.path for one in daily if one.manifest is not None and not one.is_ahead_of(now)]
    gone = good[max(keep, 1) :]
    with disk_faults_said(), turn(folder, "pieces"):
        for path in gone:
            path.unlink(missing_ok=True)
        sync_folder(folder)
        let_go_of_pieces(folder)
    return gone


def is_due(copies: Sequence[Backup], hour: int, now: datetime) -> bool:
    """Whether no daily copy was made since the last time that the hour struck.

    Parameters
    ----------
    now : datetime
        In the shop's zone.
    """
    made = [
        one.manifest.made_at
        for one in copies
        if one.manifest and one.manifest.why == "daily" and not one.is_ahead_of(now)
    ]
    return not made or max(made) < last_struck(hour, now)


def is_overdue(copies: Sequence[Backup], hour: int, opened: datetime, now: datetime) -> bool:
    """Whether a daily copy that is due should be there by now, however it came that it is not.

    Parameters
    ----------
    opened : datetime
        Since when the screens are open; nothing makes a copy before.
    now : datetime
        In the shop's zone.
    """
    waited = now - max(last_struck(hour, now), opened)
    return waited > LATE and is_due(copies, hour, now)


def last_struck(hour: int, now: datetime) -> datetime:
    """When the hour struck last, in the shop's zone.

    Parameters
    ----------
    hour : int
        From 0 to 23, in the shop's zone.
    now : datetime
        With the shop's zone.

    Returns
    -------
    datetime
        At `now` or before.
    """
    struck = now.replace(hour=hour, minute=0, second=0, microsecond=0)
    return struck - timedelta(days=1) if struck > now else struck


def _backup_at(path: Path) -> Backup:
    size = 0
    try:
        size = path.stat().st_size
        if path.suffix == SUFFIX:
            manifest = read_listing(path).manifest
            return Backup(path, size + manifest.added, manifest, "")
        with zipfile.ZipFile(path) as archive:
            return Backup(path, size, read_manifest(archive, path.name), "")
    except CopyError as fault:
        return Backup(path, size, None, fault.sentence)
    except UNREADABLE:
        how = "it cannot be read" if path.suffix == SUFFIX else "it is no whole zip"
        return Backup(path, size, None, altered(path.name, how).sentence)
