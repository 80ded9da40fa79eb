"""The folder of photos: files under random names, written whole or not at all."""

from __future__ import annotations

import os
import re
import secrets
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import Literal

from resale.storage.db.disk_faults import disk_faults_said
from resale.storage.photos.pixels import Picture
from resale.whole_file import sync_folder

FOLDER = "photos"
Size = Literal["full", "small"]
SIZES: tuple[Size, ...] = ("full", "small")

_NAME = re.compile(r"[0-9a-f]{32}")


def file_of(name: str, size: Size) -> str:
    """Where a photo lies below the data folder.

    Parameters
    ----------
    name : str
        As it was drawn, without an ending.
    size : str
        ``full`` or ``small``.

    Returns
    -------
    str
        With slashes.

    Raises
    ------
    ValueError
        If the name is none that this program drew.
    """
    if not _NAME.fullmatch(name) or size not in SIZES:
        raise ValueError(f"{name!r}, {size!r} is no name of a photo")
    return f"{FOLDER}/{name}-{size}.jpg"


def photo_path(data_folder: Path, name: str, size: Size) -> Path:
    """Where a photo lies.

    Parameters
    ----------
    data_folder : Path
    name : str
        As it was drawn.
    size : str
        ``full`` or ``small``.

    Returns
    -------
    Path

    Raises
    ------
    ValueError
        If the name is none that this program drew.
    """
    return data_folder / file_of(name, size)


def write_photo(data_folder: Path, picture: Picture) -> str:
    """Write a picture and its thumbnail so that they survive a pulled plug.

    Parameters
    ----------
    data_folder : Path
    picture : Picture
        Bare pixels, whole and small.

    Returns
    -------
    str
        The name that was drawn for it.

    Raises
    ------
    DiskError
        If there is no room, or the folder may only be read.
    """
    folder, name = data_folder / FOLDER, secrets.token_hex(16)
    try:
        with disk_faults_said():
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            for size, content in zip(SIZES, (picture.full, picture.small), strict=True):
                _write(photo_path(data_folder, name, size), content)
            sync_folder(folder)
    except Exception:
        remove_photos(data_folder, [name])
        raise
    return name


def remove_photos(data_folder: Path, names: Iterable[str]) -> None:
    """Remove the files of photos; what is gone already, or held by another program, is let be.

    What could not be removed is found by `remove_strays` later: its row is gone.

    Parameters
    ----------
    data_folder : Path
    names : iterable of str
        As they were drawn.
    """
    for name in names:
        for size in SIZES:
            path = photo_path(data_folder, name, size)
            for one in (path, _draft(path)):
                with suppress(OSError):
                    one.unlink()


def remove_strays(data_folder: Path, known: Iterable[str], written_before: float) -> int:
    """Remove files that no row speaks of: left by a crash between file and row.

    Parameters
    ----------
    known : iterable of str
        Names that rows have.
    written_before : float
        POSIX time; younger files may be waiting for their row.

    Returns
    -------
    int
        Files removed.
    """
    named, gone = set(known), 0
    folder = data_folder / FOLDER
    for path in folder.iterdir() if folder.is_dir() else ():
        with suppress(OSError):
            stray = path.name.partition("-")[0] not in named or path.suffix != ".jpg"
            if stray and path.is_file() and path.stat().st_mtime < written_before:
                path.unlink()
                gone += 1
    return gone


def _draft(path: Path) -> Path:
    return path.with_name(f"{path.name}.part")


def _write(path: Path, content: bytes) -> None:
    draft = _draft(path)
    with os.fdopen(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    draft.replace(path)
