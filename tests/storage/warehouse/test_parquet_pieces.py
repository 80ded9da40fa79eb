"""Sales go into Parquet and come out as they were, piece by piece."""

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from resale.garments.rulebook.readings import NOT_LOOKED_AT, Readings
from resale.garments.rulebook.rule_book import load_rule_book
from resale.storage.imports.tables.blocks import blocks_of, tables_of_blocks
from resale.storage.imports.tables.csv_rows import csv_rows
from resale.storage.imports.tables.table_files import write_rows
from resale.storage.warehouse import libraries
from resale.storage.warehouse.libraries import NotInstalledError
from resale.storage.warehouse.parquet import Sold, pieces_of, read_piece, write_pieces

BOOK = load_rule_book().of(["shirt", "bag", "shoes"])


def sold(seed: int, count: int) -> Sold:
    rng = np.random.default_rng(seed)
    kinds = rng.integers(0, 3, count)
    codes = np.full((count, len(BOOK.signal_ids)), NOT_LOOKED_AT, dtype=np.int16)
    for place, kind in enumerate(BOOK.kinds.values()):
        for signal in kind.signals:
            rows = np.flatnonzero((kinds == place) & (rng.random(count) < 0.5))
            drawn = rng.integers(0, len(signal.options), len(rows))
            codes[rows, BOOK.signal_ids.index(signal.id)] = drawn
    readings = Readings(kinds, codes, tuple(rng.choice(["", "Ulmbach"], count).tolist()))
    days = np.datetime64("2026-01-01") + rng.integers(0, 90, count)
    return Sold(readings, ("Harbour",) * count, rng.uniform(1, 90, count).round(2), days)


def test_what_is_written_is_read(tmp_path):
    parts = [sold(1, 40), sold(2, 30)]
    assert write_pieces(tmp_path / "harbour.parquet", iter(parts), BOOK) == 70
    for part, piece in zip(parts, pieces_of(tmp_path), strict=True):
        found = read_piece(piece, BOOK)
        assert np.array_equal(found.readings.codes, part.readings.codes)
        assert np.array_equal(found.readings.kinds, part.readings.kinds)
        assert found.readings.labels == part.readings.labels
        assert found.shops == part.shops
        assert np.array_equal(found.price, part.price)
        assert np.array_equal(found.sold_on, part.sold_on)


def test_without_the_library_a_sentence_says_how_to_get_it(tmp_path, monkeypatch):
    def missing(module):
        raise ModuleNotFoundError(module)

    monkeypatch.setattr(libraries, "import_module", missing)
    with pytest.raises(NotInstalledError) as said:
        pieces_of(tmp_path)
    assert str(said.value) == (
        "a file in Parquet needs the library pyarrow, which is not installed; install it with: "
        ".venv/bin/pip install -c .ci/constraints.txt -e '.[chain]'."
    )


CELLS = st.text(st.sampled_from('ab,"\n é'), max_size=6)


@given(st.lists(st.tuples(CELLS, CELLS), max_size=12), st.integers(1, 40))
@example([('a\n"b', "c")], 3)
def test_blocks_of_a_file_are_its_rows_wherever_they_are_cut(tmp_path_factory, rows, size):
    """Second road: Python's own reader of CSV over the whole file."""
    path = tmp_path_factory.mktemp("blocks") / "file.csv"
    with path.open("w", encoding="utf-8", newline="") as stream:
        write_rows(stream, [("kind", "note"), *rows])
    whole = csv_rows(path.read_text("utf-8"), "file", ["kind", "note"])
    wanted = [(row.number, row.cells) for row in whole][1:]
    found = []
    for before, block in blocks_of(path, 1, size):
        text = block.decode()
        assert text.startswith("kind,note\n")
        rows_of = csv_rows(text, "file", ["kind", "note"])
        found += [(row.number + before, row.cells) for row in rows_of if row.number > 1]
    assert found == wanted


def test_rows_of_blocks_have_the_numbers_of_the_file(tmp_path):
    path = tmp_path / "till.csv"
    lines = [f"shirt,{n}" for n in range(200)]
    path.write_text("\n".join(["kind,note", *lines]), encoding="utf-8")
    tables = list(tables_of_blocks(path, ["kind", "note"], size=300))
    assert len(tables) > 3
    rows = [(n, r) for table in tables for n, r in zip(table.numbers, table.rows, strict=True)]
    assert rows == [(n + 2, ["shirt", str(n)]) for n in range(200)]
