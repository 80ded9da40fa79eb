"""Files read in a process of their own, which is given so much memory and time and no more.

Whatever a file does to its reader, the desks go on: the process ends, and one sentence is left.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Collection, Iterable, Iterator
from contextlib import contextmanager, suppress
from threading import BoundedSemaphore, Timer
from typing import IO

from resale.errors import ItemFileError
from resale.storage.apart.limits import limit_oneself, surroundings
from resale.storage.imports.tables.csv_rows import csv_rows
from resale.storage.imports.tables.encodings import decoded
from resale.storage.imports.tables.sheet_row import SheetRow

MEMORY = 1_500_000_000
CPU_SECONDS = 60
# The desks come first, so that a reader may wait for its turn; it is ended then all the same.
SECONDS = 180
ZIP = b"PK\x03\x04"
RUN = ("-m", __name__)
# Two files at once would leave a small machine's desks no core.
_TURN = BoundedSemaphore(1)


def rows_read_apart(
    content: bytes, name: str, known: Collection[str], codec: str | None = None
) -> Iterator[SheetRow]:
    """Read the rows of a workbook or a CSV file in a process of its own.

    Parameters
    ----------
    known : collection of str
        Column names to expect.
    codec : str, optional
        How the letters of a CSV file are read.

    Raises
    ------
    ItemFileError
        What the reader says of the file; or that it took more memory or time than is given.
    """
    with _turn(name), _reader() as process:
        assert process.stdin is not None and process.stdout is not None  # noqa: S101 - are pipes
        watch = Timer(SECONDS, process.kill)
        watch.start()
        try:
            with suppress(BrokenPipeError):
                head = json.dumps({"name": name, "known": sorted(known), "codec": codec})
                process.stdin.write(head.encode() + b"\n")
                process.stdin.write(content)
                process.stdin.close()
            yield from _told(process.stdout, name)
        finally:
            watch.cancel()


def _told(lines: Iterable[bytes], name: str) -> Iterator[SheetRow]:
    for line in lines:
        # One line a row, so that the other threads get their turn in between.
        try:
            message = json.loads(line)
        except ValueError:
            # Ended in the middle of a line.
            break
        if isinstance(message, list):
            yield SheetRow(*message)
        elif message["fault"]:
            raise ItemFileError(**message["fault"])
        else:
            return
    raise ItemFileError(
        "reading the file took more memory or time than a table needs, so it was given up",
        where=name,
        remedy="open it in a spreadsheet program, and save the table alone as CSV",
    )


@contextmanager
def _turn(name: str) -> Iterator[None]:
    if not _TURN.acquire(timeout=SECONDS):
        raise ItemFileError(
            "other files are being read", where=name, remedy="wait a moment and bring it again"
        )
    try:
        yield
    finally:
        _TURN.release()


@contextmanager
def _reader() -> Iterator[subprocess.Popen[bytes]]:
    process = subprocess.Popen(  # noqa: S603 - this very module, by this very Python
        [sys.executable, *RUN],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env={**surroundings(), "OPENPYXL_LXML": "False"},
    )
    try:
        yield process
    finally:
        process.kill()
        for pipe in (process.stdin, process.stdout):
            if pipe is not None:
                with suppress(OSError):
                    pipe.close()
        process.wait()


# ---------------------------------------------------------------- in the process of its own
def _read(source: IO[bytes], out: IO[str]) -> None:
    # Here, so that the shop itself never loads it.
    from resale.storage.imports.tables.sheet_cells import sheet_rows  # noqa: PLC0415

    limit_oneself(MEMORY, CPU_SECONDS)
    head = json.loads(source.readline())
    content = source.read()
    name = head["name"]
    workbook = content.startswith(ZIP)
    fault = None
    try:
        rows = (
            sheet_rows(content, name)
            if workbook
            else csv_rows(decoded(content, name, head["codec"]).text, name, head["known"])
        )
        for row in rows:
            out.write(json.dumps(row) + "\n")
    except ItemFileError as message:
        fault = {"what": message.what, "where": message.where, "remedy": message.remedy}
    out.write(json.dumps({"fault": fault}) + "\n")


if __name__ == "__main__":
    _read(sys.stdin.buffer, sys.stdout)
