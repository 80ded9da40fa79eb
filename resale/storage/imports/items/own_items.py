"""A shop's own file of things, under any headings: the rows that can be read, and the others."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import IO

import numpy as np

from resale.errors import ItemFileError, ReadingError
from resale.garments.labels.label_names import LabelNames
from resale.storage.imports.cells.past_cells import OurTable, Reading, all_problems, in_our_words
from resale.storage.imports.items.item_columns import Columns, Problem
from resale.storage.imports.items.item_files import SALE_COLUMNS, ItemFile, items_of, write_back
from resale.storage.imports.matching.column_matcher import expected_headings, propose
from resale.storage.imports.matching.match_cells import Match, prices_as_tickets
from resale.storage.imports.past.past_trial import UnknownWord, guessed_words, unknown_words
from resale.storage.imports.tables.blocks import BLOCK, tables_of_blocks
from resale.storage.imports.tables.parquet_tables import is_parquet, tables_of_parquet
from resale.storage.imports.tables.table_files import (
    LARGEST_BYTES,
    Table,
    read_bytes,
    table_from_bytes,
)

# A longer text file is read block by block.
WHOLE_UP_TO = LARGEST_BYTES
_REFUSED = ReadingError("a cell could not be read", remedy="see what is said of it")


@dataclass(frozen=True)
class OwnItems:
    """A file of things as read.

    Attributes
    ----------
    items : ItemFile
        In our columns and words; its good rows are the good ones of the file.
    table : Table
        The file itself.
    ours : OurTable
        The file in our columns, with the place of each row in `table`.
    problems : tuple of Problem
        Every reason for which a row comes back, under the file's own headings.
    unknown, guessed : tuple of UnknownWord
        Words that nobody explained, and words taken for what they usually mean.
    """

    items: ItemFile
    table: Table
    ours: OurTable
    matches: tuple[Match, ...]
    problems: tuple[Problem, ...]
    unknown: tuple[UnknownWord, ...]
    guessed: tuple[UnknownWord, ...]

    @property
    def bad_rows(self) -> int:
        """How many rows come back."""
        return len({problem.place for problem in self.problems})

    def write_bad_rows(self, stream: IO[str]) -> None:
        """Write the bad rows with all their cells, the reason first; mended, they can be read."""
        write_back(stream, self.table, self.problems)


def read_own_items(
    content: bytes,
    name: str,
    by: Reading,
    names: LabelNames | None = None,
    asked: tuple[str, ...] = (),
) -> OwnItems:
    """Read a CSV or Excel file of things.

    Parameters
    ----------
    names : LabelNames, optional
        What the shop calls its labels.
    asked : tuple of str
        Columns of a file of sales that are asked for here too; the others are passed over.

    Raises
    ------
    ItemFileError
        If the file as a whole cannot be read, or no column is taken for the kind.
    """
    table = table_from_bytes(content, name, expected_headings(by.book), by.told.codec)
    return own_items_of(table, by, names, asked)


def own_items_in_blocks(
    path: Path, by: Reading, names: LabelNames | None = None
) -> Iterator[OwnItems]:
    """Read a file of things of any length: a long text file, or Parquet, block by block.

    Parameters
    ----------
    path : Path
    by : Reading
    names : LabelNames, optional
        What the shop calls its labels.

    Yields
    ------
    OwnItems
        Rows have the numbers of the whole file; what a column is taken for is decided once.

    Raises
    ------
    ItemFileError
        As for `read_own_items`.
    """
    if is_parquet(path):
        tables = tables_of_parquet(path)
    elif not path.is_file() or path.stat().st_size <= WHOLE_UP_TO:
        yield read_own_items(read_bytes(path), path.name, by, names)
        return
    else:
        tables = tables_of_blocks(path, expected_headings(by.book), BLOCK, by.told.codec)
    for table in tables:
        found = own_items_of(table, by, names)
        columns = {one.heading: one.column for one in found.matches}
        by = replace(by, told=replace(by.told, columns=columns))
        yield found


def own_items_of(
    table: Table, by: Reading, names: LabelNames | None = None, asked: tuple[str, ...] = ()
) -> OwnItems:
    """Read a table of things, as `read_own_items` does.

    Parameters
    ----------
    table : Table
    by : Reading
    names : LabelNames, optional
    asked : tuple of str

    Returns
    -------
    OwnItems

    Raises
    ------
    ItemFileError
        If no column is taken for the kind.
    """
    matches = propose(table, by.book, by.known, by.told.columns)
    if "ticket" in asked:
        matches = prices_as_tickets(matches)
    if not any(one.column == "kind" for one in matches):
        raise ItemFileError(
            "the column kind is missing",
            where=table.name,
            remedy=f"add it, with one of {', '.join(by.book.kinds)} in each row",
        )
    leave = tuple(column for column in SALE_COLUMNS if column not in asked)
    ours = in_our_words(table, matches, by, leave)
    place = {int(whole): row for row, whole in enumerate(ours.whole)}
    first = ours.problems.all()
    refused = np.array(sorted({place[p.place] for p in first if p.place in place}), dtype=np.intp)

    def refuse(columns: Columns) -> None:
        # What could not be read is an empty cell there, and must not pass for *not looked at*.
        columns.refuse("", np.flatnonzero(np.isin(columns.whole, refused)), _REFUSED)

    items = items_of(ours.table, by.book, refuse, names)
    later = tuple(one for one in items.problems if one.what != _REFUSED.what)
    problems = all_problems(ours, later, matches)
    return OwnItems(
        items,
        table,
        ours,
        matches,
        problems,
        unknown_words(table, matches, problems, by.book),
        guessed_words(table, matches, ours, by.book),
    )
