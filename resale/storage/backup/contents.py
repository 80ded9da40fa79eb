"""Which files of a data folder belong to the shop, beside its records.

All of them but what is named here: a folder that a later version adds must not be forgotten.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from fnmatch import fnmatch
from pathlib import Path

from resale.storage.backup.pieces.listing import SUFFIX
from resale.storage.backup.pieces.store import FOLDER
from resale.storage.db.database import FILE_NAME

# The records are copied by the database itself. A key signs the sessions of one machine.
LEFT_OUT = (
    FILE_NAME,
    f"{FILE_NAME}-*",
    "records-before-*",
    "*.key",
    "*.part",
    "copy-????-??-??-??????-*.zip",
    f"copy-????-??-??-??????-*{SUFFIX}",
    FOLDER,
    ".*",
)


def shop_files(folder: Path, *, but: Path) -> Iterator[tuple[str, Path]]:
    """Walk through the files of a shop, by name within the folder.

    Parameters
    ----------
    but : Path
        The folder of copies: a copy does not hold the copies before it.
    """
    copies = but.resolve()
    entered: set[Path] = set()
    # A link to a folder on another disk is part of the shop too.
    for place, folders, files in os.walk(folder, followlinks=True):
        here = Path(place)
        entered.add(here.resolve())
        folders[:] = sorted(
            name
            for name in folders
            if not _left_out(name)
            and (here / name).resolve() != copies
            and (here / name).resolve() not in entered
        )
        for name in sorted(files):
            path = here / name
            if not _left_out(name) and path.is_file():
                yield path.relative_to(folder).as_posix(), path


def _left_out(name: str) -> bool:
    return any(fnmatch(name, pattern) for pattern in LEFT_OUT)
