"""Taking records out of the shop: a copy carried away, or everything taken out as files."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import BinaryIO

from sqlalchemy import Engine

from resale.config.settings import Settings
from resale.services.actor import Actor
from resale.services.shop import Shop
from resale.services.transaction import transaction
from resale.storage.backup.catalogue import copies_folder, copy_named
from resale.storage.backup.export import TakenOut, take_out, write_records
from resale.storage.backup.make import MadeBackup, Step, make_backup


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


def take_copy_away(shop: Shop, actor: Actor, name: str, at: datetime) -> Path:
    """Give a copy to be carried away; the line stands before the first byte leaves.

    Parameters
    ----------
    shop : Shop
    actor : Actor
        Whoever carries it away.
    name : str
        Of the copy.
    at : datetime
        Now.

    Raises
    ------
    ResaleError
        If there is no such copy.
    """
    path = copy_named(copies_folder(shop.settings), name)
    with transaction(shop.records, actor, at) as work:
        work.log("took a copy of the shop away", path.name)
    return path


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
