"""Which pieces the copies name, and letting go of all others."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from pathlib import Path

from resale.storage.backup.manifest import CopyError
from resale.storage.backup.pieces.listing import SUFFIX, read_listing
from resale.storage.backup.pieces.store import PieceStore


def let_go_of_pieces(copies: Path) -> None:
    """Remove pieces that no copy names; the caller has the turn, so none is being made.

    Nothing goes while one copy's list cannot be read: nobody knows what it named, and a disk that
    was away for a moment may give it back.
    """
    try:
        named = {
            digest
            for path in _listings(copies)
            for digests in read_listing(path).pieces.values()
            for digest in digests
        }
    except (CopyError, OSError):
        return
    with PieceStore(copies) as store:
        store.let_go_but(named)


def copies_with(copies: Path, digest: str) -> Sequence[str]:
    """Names of the copies that a piece belongs to.

    Parameters
    ----------
    copies : Path
        The folder of copies.
    digest : str
        SHA-256 of the piece.
    """
    found = []
    for path in _listings(copies):
        with suppress(CopyError, OSError):
            if any(digest in digests for digests in read_listing(path).pieces.values()):
                found.append(path.name)
    return found


def _listings(copies: Path) -> Iterator[Path]:
    return iter(sorted(copies.glob(f"copy-*{SUFFIX}")))
