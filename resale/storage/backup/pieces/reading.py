"""Opening a copy in pieces."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from resale.storage.backup.manifest import CopyError, altered
from resale.storage.backup.open_copy import OpenCopy
from resale.storage.backup.pieces.listing import read_listing
from resale.storage.backup.pieces.store import FOLDER, HarmedPieceError, PieceStore
from resale.storage.backup.pieces.tidying import copies_with


@contextmanager
def open_pieces(path: Path, copies: Path) -> Iterator[OpenCopy]:
    """Open a copy in pieces.

    Parameters
    ----------
    path : Path
        The copy's own file.
    copies : Path
        The folder with its pieces.

    Raises
    ------
    CopyError
        If it was altered, or comes from a later version of the program.
    """
    listing = read_listing(path)
    if not (copies / FOLDER).is_dir():
        raise CopyError(
            f"the folder {FOLDER} with the pieces of this copy does not lie beside it",
            where=path.name,
            remedy="carry copies away whole, as the screen and 'resale keep --copy' write them",
        )
    with PieceStore(copies) as store:

        def parts_of(name: str) -> Iterator[bytes]:
            for digest in listing.pieces[name]:
                try:
                    yield store.read(digest)
                except HarmedPieceError as harm:
                    hit = [one for one in copies_with(copies, digest) if one != path.name]
                    shared = f", in {', '.join(hit)} too" if hit else ""
                    raise altered(path.name, f"a piece of {name} {harm}{shared}") from None

        yield OpenCopy(path.name, listing.manifest, parts_of)
