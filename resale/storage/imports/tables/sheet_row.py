"""One row of a file as its reader gives it."""

from __future__ import annotations

from typing import NamedTuple

from resale.storage.imports.tables.excel_days import Epoch


class SheetRow(NamedTuple):
    """A row that holds something.

    Attributes
    ----------
    number : int
        As a spreadsheet counts it, from 1.
    sheet : str
        Name of its sheet; empty for a file that has none.
    epoch : {1900, 1904}
        From where its workbook counts days.
    """

    number: int
    cells: list[str]
    sheet: str = ""
    epoch: Epoch = 1900
