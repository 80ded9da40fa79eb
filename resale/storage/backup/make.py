"""Keeping a copy of a shop while it is open, with all that belongs to it.

The records in it are the shop at one moment, whatever is being saved meanwhile.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable
from contextlib import nullcontext
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import Engine

from resale import __version__
from resale.config.settings import Settings
from resale.storage.backup.contents import shop_files
from resale.storage.backup.manifest import (
    FORMAT,
    FORMAT_ON_SERVER,
    CopyError,
    CopyManifest,
    FileSeal,
    Why,
    stays_inside,
)
from resale.storage.backup.pieces.listing import SUFFIX
from resale.storage.backup.pieces.packing import PiecePacking
from resale.storage.backup.pieces.turns import made_folder, turn
from resale.storage.backup.server_dump import DUMP, dump_records
from resale.storage.backup.sqlite_backup import copy_online
from resale.storage.backup.totals import Totals, damage_in, totals_of
from resale.storage.backup.verify import check_archive
from resale.storage.backup.zip_packing import ZipPacking
from resale.storage.db.database import FILE_NAME
from resale.storage.db.disk_faults import disk_faults_said
from resale.storage.db.postgres_schema import DIALECT
from resale.whole_file import sync_folder

TRIES = 5
DRAFT = ".copy-"
STALE_SECONDS = 86_400

Step = Callable[[int, int, str], None]
Packing = PiecePacking | ZipPacking


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
    why : str
        One of the day is kept in pieces that it shares with those before it; one by hand is one
        file, to be carried away.
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
        made_folder(folder)
        _clear_drafts(folder)
        draft = Path(tempfile.mkdtemp(prefix=DRAFT, dir=folder))
        try:
            with turn(folder, "pieces") if why == "daily" else nullcontext():
                return _checked_in(engine, settings, draft, at, why, step)
        finally:
            shutil.rmtree(draft, ignore_errors=True)


def _checked_in(
    engine: Engine, settings: Settings, draft: Path, at: datetime, why: Why, step: Step
) -> MadeBackup:
    step(0, 3, "Copying the records")
    # The records go first: every file that they speak of is there by then.
    records, totals = _copied(engine, settings, draft)
    step(1, 3, "Packing all files")
    folder, suffix = draft.parent, SUFFIX if why == "daily" else ".zip"
    made = draft / f"copy{suffix}"

    def begun() -> Packing:
        return PiecePacking(made, folder) if why == "daily" else ZipPacking(made)

    packing, seals = _packed(settings.data_folder, records, begun, but=folder)
    manifest = _manifest(settings, totals, seals, at, why)
    packing.end(manifest)
    step(2, 3, "Reading it back")
    manifest = check_archive(made, folder)
    path = _put_in_place(made, folder, f"copy-{at:%Y-%m-%d-%H%M%S}-{why}")
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


def _packed(
    folder: Path, records: Path, begun: Callable[[], Packing], *, but: Path
) -> tuple[Packing, dict[str, FileSeal]]:
    """Pack all files; begin again where one was changed or removed under our hands."""
    for _ in range(TRIES):
        packing = begun()
        try:
            seals = {records.name: packing.add(records.name, records)}
            for name, path in shop_files(folder, but=but):
                _check_name(name, path)
                seals[name] = _add(packing, name, path)
            return packing, seals
        except (_ChangedMeanwhile, FileNotFoundError):
            packing.give_up()
        except BaseException:
            packing.give_up()
            raise
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


def _add(packing: Packing, name: str, path: Path) -> FileSeal:
    before = path.stat()
    seal = packing.add(name, path)
    after = path.stat()
    if (before.st_mtime_ns, before.st_size) != (after.st_mtime_ns, after.st_size):
        raise _ChangedMeanwhile
    return seal


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
    suffix = archive.suffix
    path, more = folder / f"{stem}{suffix}", 1
    while path.exists():
        more += 1
        path = folder / f"{stem}-{more}{suffix}"
    archive.replace(path)
    sync_folder(folder)
    return path


def _clear_drafts(folder: Path) -> None:
    """Clear what a program that was killed left behind; younger ones may be at work."""
    now = datetime.now(UTC).timestamp()
    for draft in folder.glob(f"{DRAFT}*"):
        if draft.is_dir() and now - draft.stat().st_mtime > STALE_SECONDS:
            shutil.rmtree(draft, ignore_errors=True)
