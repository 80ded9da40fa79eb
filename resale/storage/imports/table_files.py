"""Tables of text in files: CSV and Excel read as cells, CSV written without formulas."""

from __future__ import annotations

import codecs
import csv
import datetime as dt
import io
import re
import warnings
import zipfile
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import IO

import openpyxl

from resale.errors import ItemFileError

LARGEST_BYTES = 40_000_000
# A workbook is a zip; one that unpacks to more than this is a mistake or a trap.
LARGEST_UNPACKED = 400_000_000
DELIMITERS = (",", ";", "\t")

_BOMS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_ZIP, _OLD_OFFICE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
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
    workbook = content.startswith(_ZIP)
    cells = (
        _excel_rows(content, name) if workbook else _csv_rows(_decoded(content, name), name, known)
    )
    numbered = [(number, row) for number, row in enumerate(cells, 1) if any(map(str.strip, row))]
    if not numbered:
        raise ItemFileError("the file is empty", where=name, remedy="put a heading and rows in it")
    head, rows = numbered[0][1], numbered[1:]
    if not rows:
        raise ItemFileError("the file has a heading and no rows", where=name, remedy="add rows")
    heading, width = _checked_heading(head, [row for _, row in rows], name)
    if workbook:
        # A workbook does not store empty cells at the end of a row.
        rows = [(n, row + [""] * (len(head) - len(row))) for n, row in rows]
    kept = [row[:width] if not any(row[width:]) else row for _, row in rows]
    return Table(name, heading, kept, [number for number, _ in rows])


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
    for place, cell in enumerate(folded[:width]):
        if not cell:
            raise ItemFileError(
                f"column {place + 1} has no name", where=name, remedy="name it or take it out"
            )
        if folded.index(cell) < place:
            raise ItemFileError(
                f"column {cell[:40]!r} stands twice", where=name, remedy="take one out"
            )
    return tuple(folded[:width]), width


# ---------------------------------------------------------------- CSV
def _decoded(content: bytes, name: str) -> str:
    codec = next((codec for bom, codec in _BOMS if content.startswith(bom)), "utf-8")
    remedy = "save it as CSV in UTF-8"
    try:
        text = content.decode(codec)
    except UnicodeDecodeError as fault:
        before = fault.object[: fault.start].decode(codec, errors="replace")
        raise ItemFileError(
            "the text is neither UTF-8 nor UTF-16",
            where=f"{name}, line {before.count(chr(10)) + 1}",
            remedy=remedy,
        ) from None
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        raise ItemFileError(
            "the text holds a NUL byte, which no text has",
            where=f"{name}, line {line}",
            remedy=remedy,
        )
    return text


def _csv_rows(text: str, name: str, known: Collection[str]) -> list[list[str]]:
    reader = csv.reader(io.StringIO(text, ""), delimiter=_delimiter(text, known), strict=True)
    rows: list[list[str]] = []
    begun = 1
    try:
        for row in reader:
            begun = reader.line_num + 1
            rows.append(row)
    except csv.Error:
        raise ItemFileError(
            "a quotation mark is left open there, or stands where a cell does not begin or end",
            where=f"{name}, line {begun}",
            remedy="close it, or write it twice inside a quoted cell",
        ) from None
    return rows


def _delimiter(text: str, known: Collection[str]) -> str:
    """Choose the delimiter that makes most known names of the heading."""
    head = next((line for line in io.StringIO(text, None) if line.strip()), "")

    def names(delimiter: str) -> tuple[int, int]:
        try:
            cells = next(csv.reader([head], delimiter=delimiter), [])
        except csv.Error:
            # A cell without end: reading the file will say so.
            return 0, 0
        return sum(cell.strip().casefold() in known for cell in cells), len(cells)

    return max(DELIMITERS, key=names)


# ---------------------------------------------------------------- Excel
def _excel_rows(content: bytes, name: str) -> list[list[str]]:
    """Cells of the first sheet; formulas stay the text they are and are never worked out."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            unpacked = sum(part.file_size for part in archive.infolist())
        if unpacked > LARGEST_UNPACKED:
            raise ItemFileError(
                f"the workbook unpacks to {unpacked / 1e6:.0f} MB",
                where=name,
                remedy="split it, or save it as CSV",
            )
        with warnings.catch_warnings():
            # What a workbook says of styles and printers is no business of ours.
            warnings.simplefilter("ignore")
            book = openpyxl.load_workbook(io.BytesIO(content), read_only=True)
            sheet = book.worksheets[0]
            sheet.reset_dimensions()
            rows = [[_as_text(cell) for cell in row] for row in sheet.iter_rows(values_only=True)]
            book.close()
    except ItemFileError:
        raise
    except Exception as fault:
        # The reader of workbooks raises whatever its XML and zip readers raise.
        raise ItemFileError(
            f"the file is not a sound Excel workbook ({type(fault).__name__})",
            where=name,
            remedy="open it in a spreadsheet program and save it again as .xlsx or CSV",
        ) from None
    return rows


def _as_text(cell: object) -> str:
    if cell is None:
        return ""
    if isinstance(cell, float):
        return f"{cell:.10g}"
    if isinstance(cell, dt.datetime):
        return str(cell.date() if cell.time() == dt.time() else cell)
    return str(cell)


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
