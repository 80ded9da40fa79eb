"""Tables of text in files: CSV and Excel read as cells, CSV written without formulas."""

from __future__ import annotations

import csv
import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from resale.errors import ItemFileError
from resale.storage.imports.cell_limits import LARGEST_CELLS
from resale.storage.imports.csv_rows import csv_rows
from resale.storage.imports.reading_process import ZIP, rows_read_apart

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
        Number of each row as a spreadsheet counts: the heading is row 1.
    """

    name: str
    heading: tuple[str, ...]
    rows: list[list[str]]
    numbers: list[int]


def read_table(path: Path, known: Collection[str]) -> Table:
    """Read a CSV or Excel file.

    Parameters
    ----------
    known : collection of str
        Column names to expect; they tell which delimiter the file uses.

    Raises
    ------
    ItemFileError
        If the file cannot be read as a table.
    """
    return table_from_bytes(read_bytes(path), path.name, known)


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


def table_from_bytes(content: bytes, name: str, known: Collection[str]) -> Table:
    """Read a table from the bytes of a CSV or Excel file, as `read_table` does."""
    _check_size(len(content), name)
    if content.startswith(_OLD_OFFICE):
        raise ItemFileError(
            "the workbook is of the old Excel form, or locked with a password",
            where=name,
            remedy="save it as .xlsx without a password, or as CSV",
        )
    workbook = content.startswith(ZIP)
    numbered = list(
        rows_read_apart(content, name, known)
        if workbook or len(content) > SMALL_CSV
        else csv_rows(content, name, known)
    )
    if not numbered:
        raise ItemFileError("the file is empty", where=name, remedy="put a heading and rows in it")
    head, rows = numbered[0][1], numbered[1:]
    if not rows:
        raise ItemFileError("the file has a heading and no rows", where=name, remedy="add rows")
    if len(head) * len(rows) > LARGEST_CELLS:
        raise ItemFileError(
            f"the table has more than {LARGEST_CELLS:,} places for cells",
            where=name,
            remedy="split the file, or take columns out",
        )
    heading, width = _checked_heading(head, [row for _, row in rows], name)
    if workbook:
        # A workbook does not store empty cells at the end of a row.
        rows = [(n, row + [""] * (len(head) - len(row))) for n, row in rows]
    trimmed = [row[:width] if not any(row[width:]) else row for _, row in rows]
    return Table(name, heading, trimmed, [number for number, _ in rows])


def _check_size(size: int, name: str) -> None:
    if size > LARGEST_BYTES:
        raise ItemFileError(
            f"the file has {size / 1e6:.0f} MB, more than {LARGEST_BYTES / 1e6:.0f} MB",
            where=name,
            remedy="split it",
        )


def _checked_heading(
    head: Sequence[str], rows: Sequence[Sequence[str]], name: str
) -> tuple[tuple[str, ...], int]:
    """Fold the names; drop columns at the end that hold nothing at all."""
    folded = [unguarded(cell).strip().casefold() for cell in head]
    width = len(folded)
    while width and not folded[width - 1] and not any("".join(r[width - 1 : width]) for r in rows):
        width -= 1
    seen: set[str] = set()
    for place, cell in enumerate(folded[:width]):
        if not cell:
            raise ItemFileError(
                f"column {place + 1} has no name", where=name, remedy="name it or take it out"
            )
        if cell in seen:
            raise ItemFileError(
                f"column {cell[:40]!r} stands twice", where=name, remedy="take one out"
            )
        seen.add(cell)
    return tuple(folded[:width]), width


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
    """Write rows of cells, guarded, as CSV with commas."""
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerows([guarded(cell) for cell in row] for row in rows)
