"""Cells of the sheets of an Excel workbook: those that are there, and no range between them.

ECMA-376, part 1, 18.3.1.73 and 18.3.1.4: rows and cells carry their own place, and a file may leave
out what is empty. Whoever fills the gap to row 3,000,000,000 runs out of memory.
"""

from __future__ import annotations

import datetime as dt
import io
import warnings
import zipfile
from collections.abc import Iterator
from typing import Any

import openpyxl
from openpyxl.utils.datetime import CALENDAR_MAC_1904
from openpyxl.worksheet._reader import WorkSheetParser

from resale.errors import ItemFileError
from resale.storage.imports.tables.cell_limits import LARGEST_COLUMNS, SHEET_ROWS, Counted
from resale.storage.imports.tables.excel_days import Epoch
from resale.storage.imports.tables.sheet_row import SheetRow

# A workbook is a zip; one that unpacks to more than this is a mistake or a trap.
LARGEST_UNPACKED = 400_000_000


def sheet_rows(content: bytes, name: str) -> Iterator[SheetRow]:
    """Read rows that hold something, sheet by sheet; what is hidden is left alone.

    Formulas stay the text they are and are never worked out.

    Parameters
    ----------
    content : bytes
        The whole workbook.
    name : str
        Of the file, for the sentence.

    Yields
    ------
    SheetRow
        With sheet and number in the file.

    Raises
    ------
    ItemFileError
        If it is no sound workbook, or too large.
    """
    try:
        with warnings.catch_warnings():
            # What a workbook says of styles and printers is no business of ours.
            warnings.simplefilter("ignore")
            _check_unpacked(content, name)
            book = openpyxl.load_workbook(io.BytesIO(content), read_only=True)
            counted = Counted(name)
            shown = [sheet for sheet in book.worksheets if sheet.sheet_state == "visible"]
            for sheet in shown or book.worksheets[:1]:
                yield from _rows_of(sheet, counted)
    except (ItemFileError, MemoryError):
        raise
    except Exception as fault:
        # The reader of workbooks raises whatever its XML and zip readers raise.
        raise ItemFileError(
            f"the file is not a sound Excel workbook ({type(fault).__name__})",
            where=name,
            remedy="open it in a spreadsheet program and save it again as .xlsx or CSV",
        ) from None


def _check_unpacked(content: bytes, name: str) -> None:
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        # More than this is not unpacked of any part, whatever its stream would give.
        unpacked = sum(part.file_size for part in archive.infolist())
    if unpacked > LARGEST_UNPACKED:
        raise ItemFileError(
            f"the workbook unpacks to {unpacked / 1e6:.0f} MB",
            where=name,
            remedy="split it, or save it as CSV",
        )


def _rows_of(sheet: Any, counted: Counted) -> Iterator[SheetRow]:
    # The library's own rows fill every gap; its parser gives what is in the file. The parser is
    # not of its public face (looked at in 3.1), hence the upper limit in pyproject.toml.
    book = sheet.parent
    epoch: Epoch = 1904 if book.epoch == CALENDAR_MAC_1904 else 1900
    with sheet._get_source() as source:
        parser = WorkSheetParser(
            source,
            sheet._shared_strings,
            epoch=book.epoch,
            date_formats=book._date_formats,
            timedelta_formats=book._timedelta_formats,
        )
        for number, cells in parser.parse():
            held = {one["column"]: text for one in cells if (text := _as_text(one["value"]))}
            if not held:
                continue
            last = max(held)
            if number > SHEET_ROWS or last > LARGEST_COLUMNS:
                counted.refuse(
                    number,
                    f"a cell stands in column {last:,} of row {number:,}, far from any table",
                    f"take it out; tables have up to {LARGEST_COLUMNS:,} columns, and a sheet "
                    f"{SHEET_ROWS:,} rows",
                )
            row = [held.get(place, "") for place in range(1, last + 1)]
            counted.take(number, row)
            yield SheetRow(number, row, sheet.title, epoch)


def _as_text(cell: object) -> str:
    if cell is None:
        return ""
    if isinstance(cell, float):
        return f"{cell:.10g}"
    if isinstance(cell, dt.datetime):
        return str(cell.date() if cell.time() == dt.time() else cell)
    return str(cell)
