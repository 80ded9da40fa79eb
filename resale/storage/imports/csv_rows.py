"""Rows of a CSV file, in UTF-8 or UTF-16, with the delimiter that its heading asks for."""

from __future__ import annotations

import codecs
import csv
import io
from collections.abc import Collection, Iterator

from resale.errors import ItemFileError
from resale.storage.imports.cell_limits import Counted

DELIMITERS = (",", ";", "\t")
_BOMS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


def csv_rows(content: bytes, name: str, known: Collection[str]) -> Iterator[tuple[int, list[str]]]:
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
    text = _decoded(content, name)
    counted = Counted(name)
    reader = csv.reader(io.StringIO(text, ""), delimiter=_delimiter(text, known), strict=True)
    begun = 1
    try:
        for number, row in enumerate(reader, 1):
            begun = reader.line_num + 1
            if any(map(str.strip, row)):
                counted.take(number, row)
                yield number, row
    except csv.Error:
        raise ItemFileError(
            "a quotation mark is left open there, or stands where a cell does not begin or end",
            where=f"{name}, line {begun}",
            remedy="close it, or write it twice inside a quoted cell",
        ) from None


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
