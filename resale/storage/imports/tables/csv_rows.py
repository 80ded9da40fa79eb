"""Rows of a CSV file, with the delimiter that its heading asks for."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Collection, Iterator
from itertools import islice

from resale.errors import ItemFileError
from resale.storage.imports.tables.cell_limits import Counted
from resale.storage.imports.tables.heading_rows import LOOKED_AT
from resale.storage.imports.tables.sheet_row import SheetRow
from resale.storage.imports.words.word_lists import headings_by_key, word_key

DELIMITERS = (",", ";", "\t", "|")
# A first line by which some spreadsheets tell each other the delimiter.
_SAYS = re.compile(r"sep=([,;|\t])\r?\n?", re.IGNORECASE)


def csv_rows(text: str, name: str, known: Collection[str]) -> Iterator[SheetRow]:
    """Read rows that hold something, each with its number among the rows of the file.

    Parameters
    ----------
    known : collection of str
        Column names to expect; they tell which delimiter the file uses.

    Raises
    ------
    ItemFileError
        If it is no sound CSV, or too large.
    """
    counted = Counted(name)
    says = _SAYS.match(text)
    delimiter = says[1] if says else _delimiter(text, known)
    reader = csv.reader(io.StringIO(text, ""), delimiter=delimiter, strict=True)
    begun = 1
    try:
        for number, row in enumerate(reader, 1):
            begun = reader.line_num + 1
            if any(map(str.strip, row)) and not (number == 1 and says):
                counted.take(number, row)
                yield SheetRow(number, row)
    except csv.Error:
        raise ItemFileError(
            "a quotation mark is left open there, or stands where a cell does not begin or end",
            where=f"{name}, line {begun}",
            remedy="close it, or write it twice inside a quoted cell",
        ) from None


def _delimiter(text: str, known: Collection[str]) -> str:
    """Choose the delimiter that makes most known names of a line near the top."""
    keys = {word_key(word) for word in known} | set(headings_by_key())
    lines = (line for line in io.StringIO(text, None) if line.strip())
    head = list(islice(lines, LOOKED_AT))

    def names(delimiter: str) -> tuple[int, int]:
        found = (_cells(line, delimiter) for line in head)
        return max(
            ((sum(word_key(cell) in keys for cell in cells), len(cells)) for cells in found),
            default=(0, 0),
        )

    return max(DELIMITERS, key=names)


def _cells(line: str, delimiter: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=delimiter), [])
    except csv.Error:
        # A cell without end: reading the file will say so.
        return []
