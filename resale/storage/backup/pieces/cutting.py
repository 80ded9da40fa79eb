"""Where a file is cut, so that what did not change comes out as the pieces of the day before."""

from __future__ import annotations

import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from resale.storage.backup.pieces.store import LARGEST
from resale.storage.backup.server_dump import DUMP
from resale.storage.db.database import FILE_NAME

BLOCK = 16 << 10
"""SQLite changes pages where they lie; a block is some of its pages, none of which is ever cut."""

_SMALL, _LARGE, _ONE_IN = 32 << 10, 512 << 10, 256


def cut(name: str, file: IO[bytes]) -> Iterator[bytes]:
    """Give the pieces of a file, in order; an empty file is one empty piece.

    Parameters
    ----------
    name : str
        Within the copy: it says what the file holds.
    file : binary file
        Open for reading.
    """
    if name == DUMP:
        yield from _by_lines(file)
        return
    most = BLOCK if name == FILE_NAME else LARGEST
    yield file.read(most)
    while part := file.read(most):
        yield part


def is_packed(name: str) -> bool:
    """Whether a file gets no smaller by packing, as its name says."""
    return Path(name).suffix.lower() in {
        ".jpg",
        ".jpeg",
        ".png",
        ".webp",
        ".heic",
        ".gz",
        ".zip",
        ".npz",
        ".xlsx",
        ".parquet",
    }


def _by_lines(file: IO[bytes]) -> Iterator[bytes]:
    """Cut after a line that its own letters choose: a row more or less moves no other cut."""
    lines: list[bytes] = []
    size = 0
    while line := file.readline(_LARGE):
        lines.append(line)
        size += len(line)
        if size >= _LARGE or (size >= _SMALL and zlib.crc32(line) % _ONE_IN == 0):
            yield b"".join(lines)
            lines, size = [], 0
    if lines:
        yield b"".join(lines)
