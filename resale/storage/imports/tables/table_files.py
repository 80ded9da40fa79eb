"""Tables of text in files: CSV and Excel read as cells, CSV written without formulas."""

from __future__ import annotations

import csv
import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import IO

from resale.errors import ItemFileError
from resale.storage.imports.tables.cell_limits import LARGEST_CELLS
from resale.storage.imports.tables.csv_rows import csv_rows
from resale.storage.imports.tables.encodings import decoded
from resale.storage.imports.tables.excel_days import Epoch
from resale.storage.imports.tables.heading_rows import Heading, find_heading
from resale.storage.imports.tables.reading_process import ZIP, rows_read_apart
from resale.storage.imports.tables.sheet_row import SheetRow

LARGEST_BYTES = 40_000_000
# So much text is read in a blink, whatever it holds; a workbook never is.
SMALL_CSV = 1_000_000
_OLD_OFFICE = b"\xd0\xcf\x11\xe0"
# OWASP, "CSV Injection"; also the full-width forms, which spreadsheets may take for the plain ones.
_FORMULA_STARTS = tuple("=+-@\t\r\n＝＋－＠")
_PLAIN_NUMBER = re.compile(r"[+-]?\d+([.,]\d+)?")


@dataclass(frozen=True)
class Table:
    """Cells of a file as text.

    Attributes
    ----------
    name : str
        Name of the file, for sentences.
    heading : tuple of str
        Folded names of the columns.
    rows : list of list of str
        As they stand; rows without any text are left out.
    numbers : list of int
        Number of each row as a spreadsheet counts, from 1.
    sheets : list of str
        Sheet of each row, where they stand on several; else none.
    epoch : {1900, 1904}
        From where its workbook counts days.
    letters : str
        Which set of letters a text file was read by; empty for a workbook.
    passed_over : tuple of str
        Sentences on rows and sheets that are no part of the table.
    """

    name: str
    heading: tuple[str, ...]
    rows: list[list[str]]
    numbers: list[int]
    sheets: list[str] = field(default_factory=list)
    epoch: Epoch = 1900
    letters: str = ""
    passed_over: tuple[str, ...] = ()


def read_bytes(path: Path) -> bytes:
    """Read a file that is not too large, or say why it cannot be read.

    Raises
    ------
    ItemFileError
    """
    try:
        size = path.stat().st_size
        _check_size(size, path.name)
        return path.read_bytes()
    except FileNotFoundError:
        raise ItemFileError(
            "there is no such file", where=str(path), remedy="look at the name"
        ) from None
    except IsADirectoryError:
        raise ItemFileError(
            "that is a folder", where=str(path), remedy="name a file in it"
        ) from None
    except OSError as fault:
        raise ItemFileError(
            f"the file cannot be read ({fault.strerror})", where=str(path), remedy="look at it"
        ) from None


def table_from_bytes(
    content: bytes, name: str, known: Collection[str], codec: str | None = None
) -> Table:
    """Read a table from the bytes of a CSV or Excel file.

    Parameters
    ----------
    known : collection of str
        Column names to expect; they tell which delimiter the file uses.
    codec : str, optional
        How the letters of a CSV file are read, where the user said so.

    Raises
    ------
    ItemFileError
        If it cannot be read as a table, or is too large.
    """
    _check_size(len(content), name)
    if content.startswith(_OLD_OFFICE):
        raise ItemFileError(
            "the workbook is of the old Excel form, or locked with a password",
            where=name,
            remedy="save it as .xlsx without a password, or as CSV",
        )
    if content.startswith(ZIP):
        return table_of_rows(list(rows_read_apart(content, name, known)), name, known, ragged=True)
    text = decoded(content, name, codec)
    rows = list(
        rows_read_apart(content, name, known, text.codec)
        if len(content) > SMALL_CSV
        else csv_rows(text.text, name, known)
    )
    return replace(table_of_rows(rows, name, known), letters=text.name)


def _check_size(size: int, name: str) -> None:
    if size > LARGEST_BYTES:
        raise ItemFileError(
            f"the file has {size / 1e6:.0f} MB, more than {LARGEST_BYTES / 1e6:.0f} MB",
            where=name,
            remedy="split it",
        )


def table_of_rows(
    rows: Sequence[SheetRow], name: str, known: Collection[str], *, ragged: bool = False
) -> Table:
    """Make a table of the rows of a file: find its heading, join its sheets.

    Parameters
    ----------
    ragged : bool, default False
        Whether empty cells at the end of a row are left out, as a workbook does.

    Raises
    ------
    ItemFileError
        If there is nothing below a heading, or too much.
    """
    if not rows:
        raise ItemFileError("the file is empty", where=name, remedy="put a heading and rows in it")
    sheets: dict[str, list[SheetRow]] = {}
    for row in rows:
        sheets.setdefault(row.sheet, []).append(row)
    headings = {
        sheet: find_heading([row.cells for row in own], known) for sheet, own in sheets.items()
    }
    first = max(sheets, key=lambda one: (headings[one].known, len(sheets[one])))
    heading = _folded(headings[first].names)
    joined = [one for one in sheets if _folded(headings[one].names) == heading]
    body = [row for one in joined for row in _body(sheets[one], headings[one])]
    if not body:
        raise ItemFileError("the file has a heading and no rows", where=name, remedy="add rows")
    if len(heading) * len(body) > LARGEST_CELLS:
        raise ItemFileError(
            f"the table has more than {LARGEST_CELLS:,} places for cells",
            where=name,
            remedy="split the file, or take columns out",
        )
    if ragged:
        body = [row._replace(cells=_filled(row.cells, len(heading))) for row in body]
    width = _width(headings[first].names, body)
    return Table(
        name,
        heading[:width],
        [row.cells[:width] if not any(row.cells[width:]) else row.cells for row in body],
        [row.number for row in body],
        [row.sheet for row in body] if len(joined) > 1 else [],
        body[0].epoch,
        passed_over=tuple(_passed_over(sheets, headings, joined)),
    )


def _body(rows: Sequence[SheetRow], heading: Heading) -> list[SheetRow]:
    """Rows below the heading, but those that say it again, as printed pages do."""
    said = [rows[place].cells for place in range(heading.first, heading.below)]
    return [row for row in rows[heading.below :] if row.cells not in said]


def _folded(names: Sequence[str]) -> tuple[str, ...]:
    return tuple(unguarded(name).strip().casefold() for name in names)


def _filled(cells: list[str], width: int) -> list[str]:
    return cells + [""] * (width - len(cells))


def _width(names: Sequence[str], body: Sequence[SheetRow]) -> int:
    """Leave out columns at the end that nobody named and that hold nothing at all."""
    width = len(names)
    while (
        width > 1
        and names[width - 1] == f"column {width}"
        and not any("".join(row.cells[width - 1 : width]).strip() for row in body)
    ):
        width -= 1
    return width


def _passed_over(
    sheets: Mapping[str, Sequence[SheetRow]], headings: Mapping[str, Heading], joined: Sequence[str]
) -> Iterator[str]:
    for sheet in joined:
        where = f" of {sheet}" if len(joined) > 1 else ""
        above = headings[sheet].first
        if above:
            rows, were = ("row", "was") if above == 1 else ("rows", "were")
            yield f"{above} {rows} above the headings{where} {were} passed over."
        again = (
            len(sheets[sheet]) - headings[sheet].below - len(_body(sheets[sheet], headings[sheet]))
        )
        if again:
            yield f"{again} rows{where} say the headings again and were passed over."
    for sheet in sheets:
        if sheet not in joined:
            yield f"The sheet {sheet} has other columns and was passed over."


# ---------------------------------------------------------------- writing
def guarded(cell: str) -> str:
    """Keep a text cell from being taken for a formula; plain numbers stay as they are.

    Examples
    --------
    >>> guarded("=1+1"), guarded("-3.50"), guarded("@maker")
    ("'=1+1", '-3.50', "'@maker")
    """
    if cell.startswith(_FORMULA_STARTS) and not _PLAIN_NUMBER.fullmatch(cell):
        return f"'{cell}"
    return cell


def unguarded(cell: str) -> str:
    """Take off the mark that `guarded` put on."""
    return cell[1:] if cell.startswith("'") and cell[1:].startswith(_FORMULA_STARTS) else cell


def write_rows(stream: IO[str], rows: Iterable[Sequence[str]]) -> None:
    """Write rows of cells, guarded, as CSV with commas.

    Parameters
    ----------
    stream : text stream
        Open for writing.
    rows : iterable of sequence of str
        The heading first.
    """
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerows([guarded(cell) for cell in row] for row in rows)
