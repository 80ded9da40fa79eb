"""Keeping a copy of a shop while it is open: one zip with all that belongs to it.

The records in it are the shop at one moment, whatever is being saved meanwhile.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import tempfile
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import IO

from sqlalchemy import Engine

from resale import __version__
from resale.config.settings import Settings
from resale.storage.backup.contents import shop_files
from resale.storage.backup.manifest import (
    FORMAT,
    FORMAT_ON_SERVER,
    MANIFEST,
    CopyError,
    CopyManifest,
    FileSeal,
    Why,
    stays_inside,
)
from resale.storage.backup.server_dump import DUMP, dump_records
from resale.storage.backup.sqlite_backup import copy_online
from resale.storage.backup.totals import Totals, damage_in, totals_of
from resale.storage.backup.verify import check_archive
from resale.storage.db.database import FILE_NAME
from resale.storage.db.disk_faults import disk_faults_said
from resale.storage.db.postgres_schema import DIALECT
from resale.whole_file import sync_folder

TRIES = 5
DRAFT = ".copy-"
STALE_SECONDS = 86_400
AT_ONCE = 1 << 20
# What is packed already grows no smaller.
_PACKED = (".jpg", ".jpeg", ".png", ".webp", ".heic", ".gz", ".zip", ".npz", ".xlsx", ".pgdump")

Step = Callable[[int, int, str], None]


@dataclass(frozen=True)
class MadeBackup:
    """A copy that was made, and read back whole."""

    path: Path
    manifest: CopyManifest


class _ChangedMeanwhile(Exception):  # noqa: N818 - caught below, and never seen outside
    """A file changed while it was copied."""


def make_backup(
    engine: Engine,
    settings: Settings,
    folder: Path,
    at: datetime,
    *,
    why: Why = "by-hand",
    step: Step = lambda done, of, words: None,
) -> MadeBackup:
    """Keep a copy of a shop; it may be open, and items may be saved meanwhile.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    folder : Path
        Where copies lie; made where it is not there.
    at : datetime
        Now, in the shop's zone.
    step : callable
        Told how far it is.

    Raises
    ------
    DiskError
        If there is no room, or the folder may only be read.
    CopyError
        If the records are damaged, or files change faster than they can be copied.
    """
    with disk_faults_said():
        _made(folder)
        _clear_drafts(folder)
        draft = Path(tempfile.mkdtemp(prefix=DRAFT, dir=folder))
        try:
            return _checked_in(engine, settings, draft, at, why, step)
        finally:
            shutil.rmtree(draft, ignore_errors=True)


def _made(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except (FileExistsError, NotADirectoryError):
        raise CopyError(
            "that is no folder", where=str(folder), remedy="name another for the copies"
        ) from None


def _checked_in(
    engine: Engine, settings: Settings, draft: Path, at: datetime, why: Why, step: Step
) -> MadeBackup:
    step(0, 3, "Copying the records")
    # The records go first: every file that they speak of is there by then.
    records, totals = _copied(engine, settings, draft)
    step(1, 3, "Packing all files")
    archive = draft / "copy.zip"
    seals = _pack(settings.data_folder, records, archive, but=draft.parent)
    manifest = _manifest(settings, totals, seals, at, why)
    with zipfile.ZipFile(archive, "a", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr(MANIFEST, manifest.model_dump_json(indent=2))
    step(2, 3, "Reading it back")
    check_archive(archive)
    path = _put_in_place(archive, draft.parent, f"copy-{at:%Y-%m-%d-%H%M%S}-{why}")
    return MadeBackup(path, manifest)


def _copied(engine: Engine, settings: Settings, draft: Path) -> tuple[Path, Totals]:
    """Copy the records as they are at one moment; give the file, and what is in it."""
    if engine.dialect.name == DIALECT:
        return draft / DUMP, dump_records(engine, settings, draft / DUMP)
    _copy_records(engine, draft / FILE_NAME)
    return draft / FILE_NAME, totals_of(draft / FILE_NAME)


def _copy_records(engine: Engine, target: Path) -> None:
    copy_online(engine, target)
    damage = damage_in(target)
    if damage:
        raise CopyError(
            f"the records are damaged ({damage}), so no copy was made",
            where=FILE_NAME,
            remedy="close the shop and bring the newest copy back with 'resale bring-back'",
        )


def _pack(folder: Path, records: Path, archive: Path, *, but: Path) -> dict[str, FileSeal]:
    """Write a zip; begin again where a file was changed or removed under our hands."""
    for _ in range(TRIES):
        try:
            with zipfile.ZipFile(archive, "w", zipfile.ZIP_DEFLATED) as packed:
                seals = {records.name: _add(packed, records.name, records)}
                for name, path in shop_files(folder, but=but):
                    _check_name(name, path)
                    seals[name] = _add(packed, name, path)
            return seals
        except (_ChangedMeanwhile, FileNotFoundError):
            continue
    raise CopyError(
        "files of the shop changed again and again while they were copied",
        where=str(folder),
        remedy="keep a copy when the shop is quiet",
    )


def _check_name(name: str, path: Path) -> None:
    if not stays_inside(name):
        raise CopyError(
            "a file has a name that cannot be carried to every machine, so no copy was made",
            where=ascii(str(path)),
            remedy="give it a name of letters and digits",
        )
    if not os.access(path, os.R_OK):
        raise CopyError(
            "a file of the shop may not be read, so no copy was made",
            where=str(path),
            remedy="let the program read it",
        )


def _add(packed: zipfile.ZipFile, name: str, path: Path) -> FileSeal:
    before = path.stat()
    entry = zipfile.ZipInfo.from_file(path, name, strict_timestamps=False)
    whole = path.suffix.lower() in _PACKED
    entry.compress_type = zipfile.ZIP_STORED if whole else zipfile.ZIP_DEFLATED
    with path.open("rb") as file, packed.open(entry, "w", force_zip64=True) as out:
        seal = _sealed(file, out)
    after = path.stat()
    if (before.st_mtime_ns, before.st_size) != (after.st_mtime_ns, after.st_size):
        raise _ChangedMeanwhile
    return seal


def _sealed(file: IO[bytes], out: IO[bytes]) -> FileSeal:
    digest, size = hashlib.sha256(), 0
    while part := file.read(AT_ONCE):
        digest.update(part)
        size += len(part)
        out.write(part)
    return FileSeal(sha256=digest.hexdigest(), size=size)


def _manifest(
    settings: Settings, totals: Totals, seals: dict[str, FileSeal], at: datetime, why: Why
) -> CopyManifest:
    on_server = DUMP in seals
    return CopyManifest(
        format=FORMAT_ON_SERVER if on_server else FORMAT,
        program=f"resale {__version__}",
        made_at=at.astimezone(UTC),
        why=why,
        shop=settings.name,
        invented=settings.invented,
        revision=totals.revision,
        counts=totals.counts,
        sold=totals.sold,
        files=seals,
        shop_key=settings.shop_key if on_server else "",
    )


def _put_in_place(archive: Path, folder: Path, stem: str) -> Path:
    """Give a copy its name once it is on the disk for good."""
    with archive.open("rb+") as file:
        os.fsync(file.fileno())
    path, more = folder / f"{stem}.zip", 1
    while path.exists():
        more += 1
        path = folder / f"{stem}-{more}.zip"
    archive.replace(path)
    sync_folder(folder)
    return path


def _clear_drafts(folder: Path) -> None:
    """Clear what a program that was killed left behind; younger ones may be at work."""
    now = datetime.now(UTC).timestamp()
    for draft in folder.glob(f"{DRAFT}*"):
        if draft.is_dir() and now - draft.stat().st_mtime > STALE_SECONDS:
            shutil.rmtree(draft, ignore_errors=True)
