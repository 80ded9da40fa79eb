"""Copies of a shop: what each says of itself, where they lie, and which are let go."""

from __future__ import annotations

import re
import struct
import zipfile
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path, PurePosixPath
from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError

from resale.config.settings import Settings
from resale.errors import ResaleError
from resale.storage.backup.totals import Totals
from resale.storage.db.disk_faults import disk_faults_said

MANIFEST = "copy.json"
# Copies of records on a server say so, which programs of before cannot read.
FORMAT, FORMAT_ON_SERVER = 1, 2
NEWEST_FORMAT = FORMAT_ON_SERVER
LARGEST = 100_000_000
# All that a harmed zip may raise: a wrong sum, a broken stream, an end too soon, a method or a lock
# that none of ours has, a place that is none, a name that is no text.
UNREADABLE = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    NotImplementedError,
    RuntimeError,
    OSError,
    ValueError,
    OverflowError,
    struct.error,
)
FOLDER = "copies"
NAME = re.compile(r"copy-\d{4}-\d{2}-\d{2}-\d{6}-(daily|by-hand)(-\d+)?\.zip")
Why = Literal["daily", "by-hand"]
CLOCKS_DIFFER = timedelta(minutes=5)
LATE = timedelta(minutes=30)


class CopyError(ResaleError):
    """A copy cannot be made, or cannot be used."""


class NoSuchCopyError(CopyError):
    """No copy of this name is kept."""


def _inside(name: str) -> str:
    if not stays_inside(name):
        raise ValueError("is not a name within the shop's folder")
    return name


def stays_inside(name: str) -> bool:
    """Whether a name leads to a file within a folder, on every system that it may be carried to."""
    path = PurePosixPath(name)
    strange = "\\" in name or ":" in name or not name.isprintable()
    return not (strange or path.is_absolute() or ".." in path.parts or name != str(path))


Name = Annotated[str, AfterValidator(_inside)]


class FileSeal(BaseModel):
    """What a file in a copy has to be."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    size: Annotated[int, Field(ge=0)]


class CopyManifest(BaseModel):
    """What a copy says of itself.

    Attributes
    ----------
    revision, counts, sold
        As `resale.storage.backup.totals.Totals` has them, at the moment of the copy.
    files : dict of str to FileSeal
        Every file in it but this one.
    shop_key : str
        Of records on a server: the name of their schema. Empty where they are a file.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    format: int
    program: str
    made_at: datetime
    why: Why
    shop: str
    invented: bool
    revision: str
    counts: dict[str, int]
    sold: dict[str, int]
    files: dict[Name, FileSeal]
    shop_key: str = ""

    @property
    def totals(self) -> Totals:
        """What the records in it have to hold."""
        return Totals(self.revision, self.counts, self.sold)


class _Outside(BaseModel):
    """The little that every format to come will say too."""

    format: int
    program: str = "a program unknown"


@dataclass(frozen=True)
class Backup:
    """A copy as it lies in the folder of copies.

    Attributes
    ----------
    size : int
        Bytes.
    manifest : CopyManifest or None
        None where it cannot be read; `trouble` says why.
    """

    path: Path
    size: int
    manifest: CopyManifest | None
    trouble: str

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


def read_manifest(archive: zipfile.ZipFile, name: str) -> CopyManifest:
    """Read what an open copy says of itself.

    Parameters
    ----------
    archive : ZipFile
        Open for reading.
    name : str
        Of the copy, for the sentence.

    Returns
    -------
    CopyManifest

    Raises
    ------
    CopyError
        If it says nothing, or comes from a later version of the program.
    """
    try:
        if archive.getinfo(MANIFEST).file_size > LARGEST:
            raise altered(name, "it says more of itself than any copy does")
        content = archive.read(MANIFEST)
    except KeyError:
        raise CopyError(
            "this is no copy of a shop", where=name, remedy="pick one that 'resale keep' made"
        ) from None
    except UNREADABLE:
        raise altered(name, "what it says of itself cannot be read") from None
    try:
        outside = _Outside.model_validate_json(content)
        if outside.format > NEWEST_FORMAT:
            raise newer(name, outside.program)
        return CopyManifest.model_validate_json(content)
    except ValidationError as fault:
        where = ".".join(str(step) for step in fault.errors(include_url=False)[0]["loc"])
        raise altered(name, f"what it says of {where or 'itself'} cannot be so") from None


def altered(name: str, how: str) -> CopyError:
    """Say that a copy is not what it was when it was made.

    Parameters
    ----------
    name : str
        Of the copy.
    how : str
        What was found, as part of a sentence.

    Returns
    -------
    CopyError
        To be raised by the caller.
    """
    return CopyError(
        f"the copy was altered or damaged ({how}), and is not used",
        where=name,
        remedy="take another copy",
    )


def newer(name: str, program: str) -> CopyError:
    """Say that a copy comes from a later version.

    Parameters
    ----------
    name : str
        Of the copy.
    program : str
        Version that made it.

    Returns
    -------
    CopyError
        To be raised by the caller.
    """
    return CopyError(
        f"the copy was made by a later version ({program[:60]}), and is not used",
        where=name,
        remedy="bring the program up to date first",
    )


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
    with disk_faults_said():
        for path in gone:
            path.unlink(missing_ok=True)
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
        with zipfile.ZipFile(path) as archive:
            return Backup(path, size, read_manifest(archive, path.name), "")
    except CopyError as fault:
        return Backup(path, size, None, fault.sentence)
    except UNREADABLE:
        return Backup(path, size, None, altered(path.name, "it is no whole zip").sentence)
