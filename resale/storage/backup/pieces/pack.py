"""Many pieces in one file: the pieces after each other, then a table of what lies where.

At the end stand the table (SHA-256 and length on the disk of each piece, in order), its own
SHA-256, and how many pieces it has. A pack gets its name once it is whole and on the disk, and is
never changed.
"""

from __future__ import annotations

import hashlib
import os
import struct
from pathlib import Path
from typing import IO, NamedTuple

SUFFIX = ".pack"
_ENTRY = struct.Struct(">32sI")
_END = struct.Struct(">32sQ")


class Place(NamedTuple):
    """Where a piece lies."""

    pack: Path
    start: int
    length: int


class NewPack:
    """A pack that is being written.

    Parameters
    ----------
    draft : Path
        Where it is written before it gets its name; made once there is a piece.
    """

    def __init__(self, draft: Path) -> None:
        self._draft = draft
        self._file: IO[bytes] | None = None
        self._entries: list[tuple[bytes, int]] = []
        self.size = 0

    def add(self, digest: str, packed: bytes) -> Place:
        """Write a piece; it can be read by what is given back until the pack is named.

        Parameters
        ----------
        digest : str
            SHA-256 of its content.
        packed : bytes
            As it goes to the disk.
        """
        if self._file is None:
            self._file = self._draft.open("wb")
        self._file.write(packed)
        self._file.flush()
        place = Place(self._draft, self.size, len(packed))
        self._entries.append((bytes.fromhex(digest), len(packed)))
        self.size += len(packed)
        return place

    def name(self, path: Path) -> None:
        """Give it its name, if there is a piece in it."""
        if self._file is None:
            return
        table = b"".join(_ENTRY.pack(*one) for one in self._entries)
        self._file.write(table + _END.pack(hashlib.sha256(table).digest(), len(self._entries)))
        self._file.flush()
        os.fsync(self._file.fileno())
        self._file.close()
        self._draft.replace(path)

    def throw_away(self) -> None:
        """Let go of the draft, also of one that a program that was killed left."""
        if self._file is not None:
            self._file.close()
        self._draft.unlink(missing_ok=True)


def places_in(pack: Path) -> dict[str, Place]:
    """Read the table of a pack; one that was harmed has nothing that can be found.

    Returns
    -------
    dict of str to Place
        By SHA-256 of the content.
    """
    with pack.open("rb") as file:
        size = file.seek(0, os.SEEK_END)
        if size < _END.size:
            return {}
        file.seek(size - _END.size)
        digest, count = _END.unpack(file.read())
        start = size - _END.size - count * _ENTRY.size
        if start < 0:
            return {}
        file.seek(start)
        table = file.read(count * _ENTRY.size)
    if hashlib.sha256(table).digest() != digest:
        return {}
    found, at = {}, 0
    for name, length in _ENTRY.iter_unpack(table):
        found[name.hex()] = Place(pack, at, length)
        at += length
    return found
