"""Bring a shop's file of sales, of any length, into a chain's warehouse."""

from __future__ import annotations

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
        If the file cannot be read, or no row of it.
    """
    if not shop:
        raise ItemFileError("the shop has no name", where="--shop", remedy="give it one")
    folder.mkdir(parents=True, exist_ok=True)
    back.unlink(missing_ok=True)
    refused = 0

    def parts() -> Iterator[Sold]:
        nonlocal refused
        for table in tables_of_blocks(file, known_columns(book)):
            found = sales_of(table, book)
            refused += _give_back(found, back)
            yield from _pieces(found, shop)

    safe = "".join(letter if letter.isalnum() else "-" for letter in f"{shop}-{file.stem}")
    came = write_pieces(folder / f"{safe}.parquet", parts(), book)
    if not came:
        raise ItemFileError(
            "no row could be read", where=file.name, remedy=f"see the reasons in {back}"
        )
    return came, refused


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
