"""Columns of a table of cells, read once for each different cell, and the problems met."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from resale.errors import ReadingError
from resale.storage.imports.tables.table_files import Table

# More about one row than this helps nobody.
MOST_REASONS = 5

Places = npt.NDArray[np.intp]
Values = npt.NDArray[np.object_]


@dataclass(frozen=True)
class Problem:
    """What is wrong with one cell.

    Attributes
    ----------
    place : int
        Place of the row in the table.
    row : int
        Number of the row as a spreadsheet counts it.
    column, what, remedy : str
    sheet : str
        Of its row, where the table stands on several.
    told : bool
        Whether the row is left out because the user said so.
    """

    place: int
    row: int
    column: str
    what: str
    remedy: str
    sheet: str = ""
    told: bool = False

    @property
    def sentence(self) -> str:
        """The problem as one sentence."""
        where = f"Row {self.row} of {self.sheet}" if self.sheet else f"Row {self.row}"
        where += f", column {self.column}" if self.column else ""
        return f"{where}: {self.what}; {self.remedy}."


class LeftOutError(ReadingError):
    """The user said that rows with this word are to be left out."""


def problem_at(table: Table, place: int, column: str, fault: ReadingError) -> Problem:
    """Say what is wrong with a cell of a table, or with a row where the column is empty.

    Parameters
    ----------
    table : Table
    place : int
        Of the row in the table, from 0.
    column : str
        Heading; empty for the row as a whole.
    fault : ReadingError

    Returns
    -------
    Problem
        With the row's number in the file, and its sheet.
    """
    return Problem(
        place,
        table.numbers[place],
        column,
        fault.what,
        fault.remedy,
        table.sheets[place] if table.sheets else "",
        isinstance(fault, LeftOutError),
    )


class Problems:
    """Problems of a table, by row."""

    def __init__(self, table: Table) -> None:
        self._table = table
        self._by_place: dict[int, list[Problem]] = {}

    def add(self, places: Iterable[int], column: str, fault: ReadingError) -> None:
        """Note the same fault of a column for several rows.

        Parameters
        ----------
        places : iterable of int
            Rows of the table, from 0; each keeps its first few reasons.
        column : str
            Heading; empty for the row as a whole.
        fault : ReadingError
        """
        for place in places:
            held = self._by_place.setdefault(int(place), [])
            if len(held) < MOST_REASONS:
                held.append(problem_at(self._table, int(place), column, fault))

    def bad(self) -> Places:
        """Places of rows with a problem, in order."""
        return np.array(sorted(self._by_place), dtype=np.intp)

    def all(self) -> tuple[Problem, ...]:
        """Every problem, in the order of the rows and in them of the columns."""
        column = {name: place for place, name in enumerate(self._table.heading)}
        return tuple(
            problem
            for place in sorted(self._by_place)
            for problem in sorted(self._by_place[place], key=lambda p: column.get(p.column, -1))
        )


@dataclass(frozen=True)
class Distinct:
    """The different cells of a column.

    Attributes
    ----------
    codes : ndarray of int, shape (n,)
        Place of each row's cell among `texts`.
    texts : list of str
    """

    codes: Places
    texts: list[str]

    @cached_property
    def _by_text(self) -> tuple[Places, Places]:
        order = np.argsort(self.codes, kind="stable")
        return order, np.searchsorted(self.codes[order], np.arange(len(self.texts) + 1))

    def rows_of(self, place: int) -> Places:
        """Rows that hold the cell at this place."""
        order, starts = self._by_text
        return order[starts[place] : starts[place + 1]]


class Columns:
    """Columns of the whole rows of a table."""

    def __init__(self, table: Table, whole: Places, problems: Problems) -> None:
        self._place = {name: place for place, name in enumerate(table.heading)}
        self._problems = problems
        self.whole = whole
        self._cells = np.array([table.rows[row] for row in whole], dtype=object)
        self._cells = self._cells.reshape(len(whole), len(table.heading))

    def __len__(self) -> int:
        return len(self.whole)

    def has(self, name: str) -> bool:
        """Whether the table has this column."""
        return name in self._place

    def apart(self, name: str) -> Distinct:
        """Take a column apart into its different cells."""
        codes, texts = pd.factorize(self._cells[:, self._place[name]])
        return Distinct(codes.astype(np.intp), texts.tolist())

    def read(
        self,
        name: str,
        reader: Callable[[str], Any],
        missing: Any,
        chosen: npt.NDArray[np.bool_] | None = None,
    ) -> Values:
        """Values of a column; a cell that cannot be read is noted and counts as missing.

        Parameters
        ----------
        chosen : ndarray of bool, shape (n,), optional
            Rows to read; the others count as missing.
        """
        if not self.has(name) or not len(self):
            return np.full(len(self), missing, dtype=object)
        wanted = np.ones(len(self), dtype=bool) if chosen is None else chosen
        cells = self.apart(name)
        read: Values = np.full(len(cells.texts), missing, dtype=object)
        for place in np.unique(cells.codes[wanted]).tolist():
            try:
                read[place] = reader(cells.texts[place])
            except ReadingError as fault:
                rows = cells.rows_of(place)
                self.refuse(name, rows[wanted[rows]], fault)
        found = read[cells.codes]
        found[~wanted] = missing
        return found

    def refuse(self, name: str, rows: Places, fault: ReadingError) -> None:
        """Note a fault of a column in these rows.

        Parameters
        ----------
        name : str
            Of the column.
        rows : ndarray of int
            Places among the whole rows.
        fault : ReadingError
        """
        self._problems.add(self.whole[rows], name, fault)
