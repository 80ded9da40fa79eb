"""Bring a shop's file of sales, of any length, into a chain's warehouse."""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterator
from pathlib import Path
from typing import IO

import numpy as np

from resale.errors import ItemFileError
from resale.garments.rulebook.rule_book import RuleBook
from resale.storage.imports.items.item_files import known_columns
from resale.storage.imports.past.sale_files import SaleFile, sales_of
from resale.storage.imports.tables.blocks import tables_of_blocks
from resale.storage.warehouse.parquet import ROWS, Sold, write_pieces


def bring_sales(file: Path, shop: str, folder: Path, book: RuleBook, back: Path) -> tuple[int, int]:
    """Read a file block by block and write what can be read as pieces.

    Parameters
    ----------
    file : Path
        CSV with our headings.
    shop : str
        Whose sales they are.
    folder : Path
        The warehouse.
    book : RuleBook
    back : Path
        Where rows go that cannot be read, with their reasons.

    Returns
    -------
    came, refused : int
        Rows.

    Raises
    ------
    ItemFileError
        If the file cannot be read, or no row of it; if its sales stand there under another name,
        or other sales under its own.
    """
    if not shop:
        raise ItemFileError("the shop has no name", where="--shop", remedy="give it one")
    piece = _piece_for(file, shop, folder)
    folder.mkdir(parents=True, exist_ok=True)
    back.unlink(missing_ok=True)
    refused = 0

    def parts() -> Iterator[Sold]:
        nonlocal refused
        for table in tables_of_blocks(file, known_columns(book)):
            found = sales_of(table, book)
            refused += _give_back(found, back)
            yield from _pieces(found, shop)

    came = write_pieces(piece, parts(), book)
    if not came:
        raise ItemFileError(
            "no row could be read", where=file.name, remedy=f"see the reasons in {back}"
        )
    return came, refused


def _piece_for(file: Path, shop: str, folder: Path) -> Path:
    """Name a piece by shop, file and contents: sales never come in twice, nor over others."""
    try:
        with file.open("rb") as stream:
            contents = hashlib.file_digest(stream, "sha256")
    except OSError as error:
        raise ItemFileError(
            f"the file cannot be read ({error.strerror})", where=file.name, remedy="look at it"
        ) from error
    contents.update(f"\0{shop}".encode())
    safe = "".join(letter if letter.isalnum() else "-" for letter in f"{shop}-{file.stem}")
    piece = folder / f"{safe}.{contents.hexdigest()[:12]}.parquet"
    for other in sorted(folder.glob(f"*{''.join(piece.suffixes)}")):
        if other != piece:
            raise ItemFileError(
                f"its sales stand in {other.name} already", where=file.name, remedy="leave it"
            )
    for other in sorted(folder.glob(f"{safe}.*.parquet")):
        if other != piece:
            raise ItemFileError(
                f"another file of this name was brought for {shop}",
                where=file.name,
                remedy=f"rename it if it holds other sales; else remove {other} and bring it again",
            )
    return piece


def _pieces(found: SaleFile, shop: str) -> Iterator[Sold]:
    readings = found.items.readings
    for start in range(0, len(readings), ROWS):
        rows = np.arange(start, min(start + ROWS, len(readings)))
        part = readings.rows(rows)
        yield Sold(part, (shop,) * len(part), found.price[rows], found.sold_on[rows])


def _give_back(found: SaleFile, back: Path) -> int:
    """Write the bad rows of a block below those of earlier ones; gives how many."""
    problems = found.items.problems
    if not problems:
        return 0
    text = io.StringIO()
    found.items.write_bad_rows(text)
    said = text.getvalue()
    begun = back.exists()
    stream: IO[str]
    with back.open("a", encoding="utf-8" if begun else "utf-8-sig", newline="") as stream:
        stream.write(said.split("\n", 1)[1] if begun else said)
    return len({problem.place for problem in problems})
