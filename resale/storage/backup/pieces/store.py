"""The store beside the copies: each piece of content once, found by its own SHA-256.

Whoever keeps a piece that is there already reads it first: one that was harmed since is written
anew, and from then on the copies of before read that one.
"""

from __future__ import annotations

import hashlib
import zlib
from collections.abc import Collection
from contextlib import ExitStack
from pathlib import Path
from typing import IO, Self

from resale.storage.backup.pieces.pack import SUFFIX, NewPack, Place, places_in
from resale.storage.db.disk_faults import disk_fault
from resale.whole_file import sync_folder

FOLDER = "copy-pieces"
LARGEST = 8 << 20
"""Bytes of the largest piece: what is read at once."""

_DRAFT = ".pieces.draft"
_LEVEL, _AS_IT_IS = 6, 0


class HarmedPieceError(Exception):
    """A piece is not there, or is not what it was."""


class PieceStore:
    """The pieces in a folder of copies, packed by zlib (RFC 1950); to be left when done.

    Parameters
    ----------
    copies : Path
        The folder of copies.
    """

    def __init__(self, copies: Path) -> None:
        self.folder = copies / FOLDER
        self._new = NewPack(self.folder / _DRAFT)
        self._closing = ExitStack()
        self._find()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *fault: object) -> None:
        self.close()

    def close(self) -> None:
        """Close what was opened for reading; what is read next is opened again."""
        self._closing.close()
        self._open.clear()

    @property
    def added(self) -> int:
        """Bytes on the disk of what is new."""
        return self._new.size

    def clear_draft(self) -> None:
        """Clear what was kept and not named, also by a program that was killed."""
        self.close()
        self._new.throw_away()
        self._new = NewPack(self.folder / _DRAFT)

    def keep(self, content: bytes, *, packed: bool = False) -> str:
        """Keep a piece, unless it is there and whole.

        Parameters
        ----------
        content : bytes
            At most `LARGEST`.
        packed : bool
            Whether it was packed before, and gets no smaller.

        Returns
        -------
        str
            Its SHA-256.
        """
        digest = hashlib.sha256(content).hexdigest()
        try:
            self._read(digest)
        except HarmedPieceError:
            place = self._new.add(digest, zlib.compress(content, _AS_IT_IS if packed else _LEVEL))
            self._places.setdefault(digest, []).append(place)
        return digest

    def name_what_is_new(self) -> None:
        """Let what was kept stay, on the disk for good."""
        self.close()
        last = max((int(pack.stem) for pack in self._packs()), default=0)
        self._new.name(self.folder / f"{last + 1:08d}{SUFFIX}")
        sync_folder(self.folder)

    def read(self, digest: str) -> bytes:
        """Read a piece.

        Raises
        ------
        HarmedPieceError
            If it is not there, or is not what it was.
        """
        try:
            return self._read(digest)
        except HarmedPieceError:
            # Somebody who tidies may have carried it into another pack meanwhile.
            if self._packs() == self._known:
                raise
            self.close()
            self._find()
            return self._read(digest)

    def let_go_but(self, named: Collection[str]) -> None:
        """Let go of the pieces that are not named; the caller has the turn.

        A pack goes once nothing in it is named. Where most of one is not, the rest goes into a new
        pack first: killed between the two, a piece lies there twice, and that harms nobody. A pack
        whose table cannot be read stays: a hand may still save something out of it.
        """
        wanted, gone, rest = set(named), [], []
        # The newest first: what was written anew because the old one was harmed stands for both.
        for pack in reversed(self._packs()):
            places = places_in(pack)
            live = {digest: place for digest, place in places.items() if digest in wanted}
            wanted -= live.keys()
            if places and 2 * sum(place.length for place in live.values()) <= pack.stat().st_size:
                rest += list(live.items())
                gone.append(pack)
        self.clear_draft()
        for digest, place in rest:
            self._new.add(digest, self._raw(place))
        self.name_what_is_new()
        for pack in gone:
            pack.unlink(missing_ok=True)

    def _packs(self) -> list[Path]:
        return sorted(self.folder.glob(f"{8 * '[0-9]'}{SUFFIX}"))

    def _find(self) -> None:
        self._known = self._packs()
        self._open: dict[Path, IO[bytes]] = {}
        self._places: dict[str, list[Place]] = {}
        for pack in self._known:
            for digest, place in places_in(pack).items():
                self._places.setdefault(digest, []).append(place)

    def _read(self, digest: str) -> bytes:
        how = "is missing"
        for place in self._places.get(digest, ()):
            try:
                content = _unpacked(self._raw(place))
            except (zlib.error, OSError) as fault:
                if disk_fault(fault) is not None:
                    raise
                how = "cannot be read"
                continue
            if hashlib.sha256(content).hexdigest() == digest:
                return content
            how = "is not what it was"
        raise HarmedPieceError(how)

    def _raw(self, place: Place) -> bytes:
        file = self._open.get(place.pack)
        if file is None:
            file = self._open[place.pack] = self._closing.enter_context(place.pack.open("rb"))
        file.seek(place.start)
        return file.read(place.length)


def bytes_of_store(copies: Path) -> int:
    """How much room the pieces in a folder of copies take."""
    return sum(path.stat().st_size for path in (copies / FOLDER).glob(f"*{SUFFIX}"))


def _unpacked(raw: bytes) -> bytes:
    # One byte more than any piece has is enough to know that it is none of ours.
    return zlib.decompressobj().decompress(raw, LARGEST + 1)
