"""Keeping the files of a shop as pieces."""

from __future__ import annotations

import hashlib
from pathlib import Path

from resale.storage.backup.manifest import FORMAT_IN_PIECES, CopyManifest, FileSeal
from resale.storage.backup.pieces.cutting import cut, is_packed
from resale.storage.backup.pieces.listing import listing_text
from resale.storage.backup.pieces.store import PieceStore


class PiecePacking:
    """The files of a shop kept in the store beside the copies.

    Parameters
    ----------
    file : Path
        Of the copy, written at the end.
    copies : Path
        The folder with the store.
    """

    def __init__(self, file: Path, copies: Path) -> None:
        self._file, self._store = file, PieceStore(copies)
        self._store.clear_draft()
        self._pieces: dict[str, list[str]] = {}

    def add(self, name: str, path: Path) -> FileSeal:
        """Keep a file.

        Parameters
        ----------
        name : str
            Within the copy.
        path : Path
            Where it lies.
        """
        digest, size, digests = hashlib.sha256(), 0, []
        with path.open("rb") as file:
            for part in cut(name, file):
                digests.append(self._store.keep(part, packed=is_packed(name)))
                digest.update(part)
                size += len(part)
        self._pieces[name] = digests
        return FileSeal(sha256=digest.hexdigest(), size=size)

    def end(self, manifest: CopyManifest) -> None:
        """Say what is in it, once all of that is on the disk for good."""
        added = self._store.added
        self._store.name_what_is_new()
        ours = {"format": FORMAT_IN_PIECES, "added": added}
        self._file.write_bytes(listing_text(manifest.model_copy(update=ours), self._pieces))

    def give_up(self) -> None:
        """Throw away what was kept so far."""
        self._store.clear_draft()
