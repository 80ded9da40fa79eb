"""Taking records out of the shop: a copy carried away, or everything taken out as files."""

from __future__ import annotations

import tempfile
from contextlib import ExitStack
from datetime import datetime
from pathlib import Path
from typing import IO, BinaryIO

from sqlalchemy import Engine

from resale.config.settings import Settings
from resale.services.actor import Actor
from resale.services.shop import Shop
from resale.services.transaction import transaction
from resale.storage.backup.catalogue import copies_folder, copy_named
from resale.storage.backup.export import TakenOut, take_out, write_records
from resale.storage.backup.make import MadeBackup, Step, make_backup
from resale.storage.backup.manifest import CopyError, CopyManifest
from resale.storage.backup.pieces.listing import SUFFIX
from resale.storage.backup.verify import check_archive
from resale.storage.backup.whole_copy import write_whole
from resale.storage.db.disk_faults import disk_faults_said
from resale.whole_file import whole_file


def keep_copy(
    records: Engine, settings: Settings, actor: Actor, folder: Path, at: datetime, step: Step
) -> MadeBackup:
    """Make a copy of the shop, and write down who asked for it once it can be read.

    Parameters
    ----------
    records : Engine
    settings : Settings
    actor : Actor
        Whoever asks.
    folder : Path
        For the copy.
    at : datetime
        Now.
    step : callable
        Told how far it is.
    """
    made = make_backup(records, settings, folder, at, step=step)
    try:
        with transaction(records, actor, at) as work:
            work.log("kept a copy of the shop", made.path.name)
    except BaseException:
        # A copy that nobody is known to have asked for does not stay.
        made.path.unlink(missing_ok=True)
        raise
    return made


def take_copy_away(
    shop: Shop, actor: Actor, name: str, at: datetime
) -> tuple[Path | IO[bytes], str]:
    """Give a copy as one file to be carried away; the line stands before the first byte leaves.

    Parameters
    ----------
    shop : Shop
    actor : Actor
        Whoever carries it away.
    name : str
        Of the copy.
    at : datetime
        Now.

    Returns
    -------
    path or binary file, and str
        What it holds, and what it is called. One in pieces was written out for this and is gone
        with its closing.

    Raises
    ------
    ResaleError
        If there is no such copy, or it cannot be read.
    """
    path = copy_named(copies_folder(shop.settings), name)
    with ExitStack() as unless_sent:
        whole: Path | IO[bytes] = path
        if path.suffix == SUFFIX:
            with disk_faults_said():
                whole = unless_sent.enter_context(tempfile.TemporaryFile(dir=path.parent))
            write_whole(path, whole)
            whole.seek(0)
        with transaction(shop.records, actor, at) as work:
            work.log("took a copy of the shop away", path.name)
        unless_sent.pop_all()
    return whole, path.with_suffix(".zip").name


def carry_copy_out(
    records: Engine, settings: Settings, actor: Actor, copy: Path, folder: Path, at: datetime
) -> tuple[Path, CopyManifest]:
    """Write a copy out as one file into a folder; the line stands before it gets its name.

    Parameters
    ----------
    records : Engine
    settings : Settings
    actor : Actor
        Whoever carries it away.
    copy : Path
        Its file, or the name of one that is kept.
    folder : Path
        For the file.
    at : datetime
        Now.

    Returns
    -------
    Path, CopyManifest
        The file, which was read back, and what it says of itself.

    Raises
    ------
    ResaleError
        If there is no such copy, it cannot be read, or there is such a file already.
    """
    path = copy if copy.is_file() else copy_named(copies_folder(settings), copy.name)
    target = folder / path.with_suffix(".zip").name
    if target.exists():
        raise CopyError(
            "there is such a file already", where=str(target), remedy="name another folder"
        )
    with disk_faults_said(), whole_file(target) as draft:
        write_whole(path, draft)
        manifest = check_archive(draft)
        with transaction(records, actor, at) as work:
            work.log("took a copy of the shop away", path.name)
    return target, manifest


def take_records_out(shop: Shop, actor: Actor, file: BinaryIO, at: datetime) -> None:
    """Write all records as files in one archive, photos among them.

    Parameters
    ----------
    shop : Shop
    actor : Actor
        Whoever takes them out.
    file : binary file
        Written to.
    at : datetime
        Now.
    """
    with transaction(shop.records, actor, at) as work:
        work.log("took the records out", f"{at:%Y-%m-%d}")
    write_records(shop.records, shop.settings, file, at)


def take_records_out_to(
    records: Engine, settings: Settings, actor: Actor, folder: Path, at: datetime
) -> TakenOut:
    """Write all records as one archive into a folder; the line stands before the first byte.

    Parameters
    ----------
    records : Engine
    settings : Settings
    actor : Actor
        Whoever takes them out.
    folder : Path
        For the archive.
    at : datetime
        Now.
    """
    with transaction(records, actor, at) as work:
        work.log("took the records out", f"{at:%Y-%m-%d}")
    return take_out(records, settings, folder, at)
