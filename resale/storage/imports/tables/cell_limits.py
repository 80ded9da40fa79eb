"""How large a table from a file may be: rows, columns, cells and text, counted as it is read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from resale.errors import ItemFileError

# A shop of a hundred thousand things with sixty signs each has six million cells.
LARGEST_ROWS = 250_000
LARGEST_COLUMNS = 1_000
LARGEST_CELLS = 10_000_000
LARGEST_TEXT = 120_000_000
# Microsoft, "Excel specifications and limits": rows of a sheet, and characters that a cell holds.
SHEET_ROWS = 1_048_576
LONGEST_CELL = 32_767

_SPLIT = "split the file"


@dataclass
class Counted:
    """What was read of a file so far."""

    name: str
    rows: int = 0
    cells: int = 0
    text: int = 0

    def take(self, number: int, row: Sequence[str]) -> None:
        """Count a row of the file, by its number there.

        Parameters
        ----------
        number : int
            Of the row in the file, from 1.
        row : sequence of str
            Its cells.

        Raises
        ------
        ItemFileError
            At the first row with which the file is too large.
        """
        self.rows += 1
        self.cells += len(row)
        self.text += sum(map(len, row))
        if len(row) > LARGEST_COLUMNS:
            self.refuse(number, f"it has more than {LARGEST_COLUMNS:,} columns", "take some out")
        if self.rows > LARGEST_ROWS:
            self.refuse(number, f"the file has more than {LARGEST_ROWS:,} rows", _SPLIT)
        if self.cells > LARGEST_CELLS:
            self.refuse(number, f"the file has more than {LARGEST_CELLS:,} cells", _SPLIT)
        if self.text > LARGEST_TEXT:
            self.refuse(number, f"the file has more than {LARGEST_TEXT:,} characters", _SPLIT)
        if max(map(len, row), default=0) > LONGEST_CELL:
            self.refuse(number, f"a cell has more than {LONGEST_CELL:,} characters", "shorten it")

    def refuse(self, number: int, what: str, remedy: str) -> None:
        """Say in which row the file became too large.

        Parameters
        ----------
        number : int
            Of the row in the file, from 1.
        what : str
            What is too large.
        remedy : str

        Raises
        ------
        ItemFileError
            Always.
        """
        raise ItemFileError(what, where=f"{self.name}, row {number:,}", remedy=remedy)
