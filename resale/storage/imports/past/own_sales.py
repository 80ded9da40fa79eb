"""A shop's own file of sales, under any headings: the rows that can be read, and the others."""

from __future__ import annotations

from dataclasses import dataclass
from typing import IO

import numpy as np

from resale.errors import ItemFileError
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.model.columns.terms import Array
from resale.storage.imports.cells.past_cells import OurTable, Reading, all_problems, in_our_words
from resale.storage.imports.items.item_columns import Problem
from resale.storage.imports.items.item_files import BESIDE, write_back
from resale.storage.imports.matching.column_matcher import expected_headings, propose
from resale.storage.imports.matching.match_cells import Match
from resale.storage.imports.past.past_trial import UnknownWord, guessed_words, unknown_words
from resale.storage.imports.past.sale_files import SaleFile, sales_of
from resale.storage.imports.tables.table_files import Table, table_from_bytes


@dataclass(frozen=True)
class OwnSales:
    """A file of sales as read.

    Attributes
    ----------
    sales : SaleFile
        In our columns and words; rows that come back for another reason are still among them.
    ours : OurTable
        The file in our columns, with the place of each row in `table`.
    problems : tuple of Problem
        Every reason for which a row comes back, under the file's own headings.
    """

    sales: SaleFile
    table: Table
    ours: OurTable
    matches: tuple[Match, ...]
    problems: tuple[Problem, ...]
    book: RuleBook

    @property
    def good(self) -> np.ndarray:
        """Places, among those of `sales`, of rows that come in."""
        refused = [one.place for one in self.problems]
        whole = np.asarray(self.ours.whole)[np.asarray(self.sales.items.good, dtype=np.intp)]
        return np.flatnonzero(~np.isin(whole, refused))

    @property
    def pieces(self) -> Array:
        """How many things each row of `sales` sold."""
        table = self.sales.items.table
        if "quantity" not in table.heading:
            return np.ones(len(self.sales.items.good))
        at = table.heading.index("quantity")
        cells = (table.rows[place][at].strip() for place in self.sales.items.good)
        return np.array([float(cell or 1) for cell in cells])

    @property
    def unknown(self) -> tuple[UnknownWord, ...]:
        """Words that nobody explained."""
        return unknown_words(self.table, self.matches, self.problems, self.book)

    @property
    def guessed(self) -> tuple[UnknownWord, ...]:
        """Words taken for what they usually mean."""
        return guessed_words(self.table, self.matches, self.ours, self.book)

    def write_bad_rows(self, stream: IO[str]) -> None:
        """Write the bad rows with all their cells, the reason first; mended, they can be read."""
        write_back(stream, self.table, self.problems)


def read_own_sales(content: bytes, name: str, by: Reading) -> OwnSales:
    """Read a CSV or Excel file with a row for each sale.

    Parameters
    ----------
    content : bytes
    name : str
        Of the file.
    by : Reading
        What the user said, what is remembered, and in which money.

    Raises
    ------
    ItemFileError
        If the file as a whole cannot be read, or no column is taken for one that is needed.
    """
    table = table_from_bytes(content, name, expected_headings(by.book), by.told.codec)
    matches = propose(table, by.book, by.known, by.told.columns)
    _check_needed(matches, table)
    ours = in_our_words(table, matches, by, leave=("consignor", *BESIDE))
    sales = sales_of(ours.table, by.book)
    problems = all_problems(ours, sales.items.problems, matches)
    return OwnSales(sales, table, ours, matches, tuple(problems), by.book)


def _check_needed(matches: tuple[Match, ...], table: Table) -> None:
    matched = {match.column for match in matches}
    # What each piece brought tells what the row brought.
    for column in ("kind", "sold_on", *(() if "price_each" in matched else ("price",))):
        if column not in matched:
            free = [match.heading for match in matches if not match.column]
            raise ItemFileError(
                f"no column is taken for {column}",
                where=table.name,
                remedy=f"say which it is: {', '.join(free[:8])}" if free else "add that column",
            )
