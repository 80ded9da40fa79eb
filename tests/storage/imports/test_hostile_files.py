"""Files that are made to harm their reader end in a sentence, and cost the shop nothing.

OWASP, File Upload Cheat Sheet; CWE-409 (compression), CWE-776 (entities). ECMA-376, part 1,
18.3.1.73: a row carries its own number, and no number has to be filled up to.
"""

from __future__ import annotations

import io
import resource
from collections.abc import Callable

import hostile_workbooks as hostile
import openpyxl
import pytest

from resale.errors import ItemFileError
from resale.storage.imports.tables import cell_limits, reading_process
from resale.storage.imports.tables.table_files import table_from_bytes

KNOWN = ("item", "kind")


@pytest.mark.parametrize(
    ("made", "sentence"),
    [
        (hostile.far_row, "far from any table"),
        pytest.param(
            lambda: hostile.far_row(2_000_000), "far from any table", marks=pytest.mark.long
        ),
        (hostile.far_column, "a cell stands in column 16,384"),
        (hostile.entities, "not a sound Excel workbook"),
        pytest.param(hostile.inflating, "unpacks to 500 MB", marks=pytest.mark.long),
        pytest.param(
            hostile.long_strings, "more than 120,000,000 characters", marks=pytest.mark.long
        ),
        (lambda: b"PK\x03\x04" + b"\0" * 1000, "not a sound Excel workbook"),
    ],
    ids=["row", "row 2M", "column", "entities", "zip", "strings", "broken"],
)
def test_a_hostile_workbook_is_a_sentence_and_costs_this_process_no_memory(
    made: Callable[[], bytes], sentence: str
) -> None:
    content = made()
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    with pytest.raises(ItemFileError, match=sentence):
        table_from_bytes(content, "hostile.xlsx", KNOWN)
    # The 120 million characters that a table may hold are the most that any of them leaves here.
    assert (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) * 1024 < 300_000_000


LIMITED = "import resale.storage.imports.tables.reading_process as r; "


@pytest.mark.parametrize(
    "reader",
    [
        LIMITED + "r.limit_oneself(r.MEMORY, r.CPU_SECONDS); bytearray(r.MEMORY)",
        LIMITED + "r.limit_oneself(r.MEMORY, 1); [0 for _ in iter(int, 1)]",
        "import time; time.sleep(600)",
        "print('[1, [')",
    ],
    ids=["memory", "processor", "clock", "broken off"],
)
def test_a_reader_that_takes_too_much_is_given_up(
    monkeypatch: pytest.MonkeyPatch, reader: str
) -> None:
    """The limits are the system's own, setrlimit(2), but for the clock's."""
    monkeypatch.setattr(reading_process, "RUN", ("-c", reader))
    if "sleep" in reader:
        monkeypatch.setattr(reading_process, "SECONDS", 0.2)
    with pytest.raises(ItemFileError, match="more memory or time than a table needs"):
        table_from_bytes(hostile.far_row(), "harm.xlsx", KNOWN)


def test_a_sound_workbook_with_gaps_is_read_as_it_stands() -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet["A3"], sheet["B3"], sheet["A7"], sheet["B9"] = "item", "kind", "1", "bag"
    stream = io.BytesIO()
    book.save(stream)
    table = table_from_bytes(stream.getvalue(), "gaps.xlsx", KNOWN)
    assert table.heading == ("item", "kind")
    assert table.rows == [["1", ""], ["", "bag"]]
    assert table.numbers == [7, 9]


@pytest.mark.parametrize(
    ("limit", "sentence"),
    [
        ("LARGEST_ROWS", "has more than 3 rows"),
        ("LARGEST_CELLS", "has more than 3 cells"),
        ("LARGEST_TEXT", "has more than 3 characters"),
        ("LONGEST_CELL", "a cell has more than 3 characters"),
        ("LARGEST_COLUMNS", "has more than 3 columns"),
    ],
)
def test_a_table_that_is_too_large_is_refused_at_the_row_where_it_is(
    monkeypatch: pytest.MonkeyPatch, limit: str, sentence: str
) -> None:
    monkeypatch.setattr(cell_limits, limit, 3)
    content = b"item,kind,label,size\n1,bag,,\n2,bag,,\n3,bag,,\n"
    with pytest.raises(ItemFileError, match=sentence):
        table_from_bytes(content, "large.csv", KNOWN)


def test_a_heading_of_a_thousand_names_is_compared_at_once() -> None:
    """Each name was looked for among all before it: a million names took a day."""
    content = (",".join(f"c{n}" for n in range(1_000)) + "\n" + "x," * 999 + "x\n").encode()
    assert len(table_from_bytes(content, "wide.csv", KNOWN).heading) == 1_000
