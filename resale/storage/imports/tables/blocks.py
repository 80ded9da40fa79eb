"""A CSV file of any length as blocks that are files of their own: the top with its headings, rows.

Memory holds a block at a time, so a file may be as long as it likes. A block ends where a row ends:
at a line's end with an even count of quotation marks before it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace
from pathlib import Path
from typing import IO

from resale.errors import ItemFileError
from resale.storage.imports.tables.reading_process import ZIP
from resale.storage.imports.tables.table_files import Table, table_from_bytes

BLOCK = 16_000_000
# So much of a file shows where its table begins.
SMALL = 900_000
# Blocks are cut among bytes; letters of two bytes each have to be cut among letters.
_TWO_BYTES = (b"\xff\xfe", b"\xfe\xff")


def blocks_of(path: Path, top: int, size: int = BLOCK) -> Iterator[tuple[int, bytes]]:
    """Cut a text file into blocks.

    Parameters
    ----------
    path : Path
    top : int
        How many rows stand above the first one of the table, headings among them.
    size : int
        About how many bytes a block has.

    Yields
    ------
    before : int
        By how much a row's number in the file is above that in its block.
    content : bytes
        The rows above the table again, and some of its rows.

    Raises
    ------
    ItemFileError
        If it is no file whose bytes can be cut.
    """
    try:
        file = path.open("rb")
    except OSError as fault:
        raise ItemFileError(
            f"the file cannot be read ({fault.strerror})", where=str(path), remedy="look at it"
        ) from None
    with file:
        head = b"".join(_row(file) for _ in range(top))
        if head.startswith((ZIP, *_TWO_BYTES)):
            raise ItemFileError(
                "only a text file of letters like UTF-8 can be that long",
                where=path.name,
                remedy="save it as CSV in UTF-8",
            )
        before, left = 0, b""
        while piece := file.read(size):
            whole, left = _cut(left + piece)
            if whole:
                yield before, head + whole
                before += _rows_in(whole)
        if left.strip():
            yield before, head + left


def _row(file: IO[bytes]) -> bytes:
    """A row of a file, which may go over several lines."""
    row = b""
    while line := file.readline():
        row += line
        if row.count(b'"') % 2 == 0:
            break
    return row


def _cut(text: bytes) -> tuple[bytes, bytes]:
    """Part text after the last line's end that is no part of a quoted cell."""
    end = text.rfind(b"\n")
    quotes = text.count(b'"', 0, end + 1)
    while end >= 0 and quotes % 2:
        earlier = text.rfind(b"\n", 0, end)
        quotes -= text.count(b'"', earlier + 1, end + 1)
        end = earlier
    return text[: end + 1], text[end + 1 :]


def _rows_in(text: bytes) -> int:
    """Count rows: line ends outside quoted cells."""
    if b'"' not in text:
        return text.count(b"\n")
    # Every second piece between quotation marks stands inside a cell.
    return sum(piece.count(b"\n") for piece in text.split(b'"')[::2])


def tables_of_blocks(
    path: Path, known: Collection[str], size: int = BLOCK, codec: str | None = None
) -> Iterator[Table]:
    """Read a text file of any length as tables, with the numbers that rows have in the whole file.

    Parameters
    ----------
    path : Path
    known : collection of str
        Column names to expect.
    size : int
        About how many bytes a table is read from.
    codec : str, optional
        How its letters are read, where the user said so.

    Yields
    ------
    Table

    Raises
    ------
    ItemFileError
        If the file is empty, or cannot be read as a table.
    """
    first = next(blocks_of(path, 0, min(size, SMALL)), None)
    if first is None:
        raise ItemFileError("the file is empty", where=path.name, remedy="put rows in it")
    top = table_from_bytes(first[1], path.name, known, codec).numbers[0] - 1
    for before, content in blocks_of(path, top, size):
        table = table_from_bytes(content, path.name, known, codec)
        yield replace(table, numbers=[number + before for number in table.numbers])
