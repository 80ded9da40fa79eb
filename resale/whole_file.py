"""A file gets its name once it is whole and on the disk: whoever reads meets the old or the new.

A program that is killed meanwhile leaves a draft beside it; the next file that is written into that
folder takes such a draft away, once nobody has written to it for ten minutes.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

DRAFT = ".resale.part"
ABANDONED = 600.0


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """Let a file be written beside its name, which it gets at the end.

    If anything fails, what stood there stays.

    Yields
    ------
    Path
        Where to write.

    Raises
    ------
    OSError
        If the disk is full, or the folder cannot be written to.
    """
    _take_away_abandoned(path.parent)
    draft = path.with_name(f".{path.name}.{os.getpid()}{DRAFT}")
    try:
        yield draft
        with draft.open("rb+") as file:
            os.fsync(file.fileno())
        draft.replace(path)
        sync_folder(path.parent)
    finally:
        with suppress(OSError):
            draft.unlink(missing_ok=True)


def sync_folder(folder: Path) -> None:
    """Let the disk remember a new name in a folder, where it can be asked to."""
    if os.name != "posix":
        return
    place = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(place)
    finally:
        os.close(place)


def _take_away_abandoned(folder: Path) -> None:
    for draft in folder.glob(f".*{DRAFT}"):
        with suppress(OSError):
            if time.time() - draft.stat().st_mtime > ABANDONED:
                draft.unlink()
