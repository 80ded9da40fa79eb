"""Parquet in and out: the same cells as in CSV, and so the same prices."""

from __future__ import annotations

import csv
import datetime as dt

import pandas as pd
import pyarrow as pa
import pytest
from click.testing import CliRunner
from pyarrow import parquet

from resale.cli.main import commands
from resale.errors import ItemFileError
from resale.storage.imports.tables import parquet_tables
from resale.storage.imports.tables.parquet_tables import ParquetRows, is_parquet, tables_of_parquet

ITEMS = pd.DataFrame(
    {
        "item": [f"R{n}" for n in range(60)],
        "kind": ["jacket", "shirt", "bag"] * 20,
        "label": ["Ulmba", None, "Vesk"] * 20,
        "front_canvas": ["full_canvas", None, None] * 20,
        "shirt_yoke": [None, "split", None] * 20,
    }
)


def priced(folder, name, *more):
    answer = CliRunner().invoke(
        commands, ["value", str(folder / name), "--rules-only", "--folder", str(folder), *more]
    )
    assert answer.exit_code == 0, answer.output
    return answer.output


def test_a_thing_costs_the_same_by_either_file_and_comes_out_as_either(tmp_path, monkeypatch):
    monkeypatch.setattr(parquet_tables, "ROWS", 7)
    ITEMS.to_csv(tmp_path / "rack.csv", index=False)
    ITEMS.to_parquet(tmp_path / "rack.parquet")
    priced(tmp_path, "rack.csv", "--out", str(tmp_path / "a.csv"))
    said = priced(tmp_path, "rack.parquet", "--out", str(tmp_path / "b.csv"))
    assert "60 items priced" in said
    assert (tmp_path / "a.csv").read_bytes() == (tmp_path / "b.csv").read_bytes()
    priced(tmp_path, "rack.parquet", "--out", str(tmp_path / "c.parquet"))
    with (tmp_path / "a.csv").open(encoding="utf-8-sig") as file:
        as_text = list(csv.DictReader(file))
    # Read by another library than wrote it.
    there = pd.read_parquet(tmp_path / "c.parquet")
    assert there["item"].tolist() == [row["item"] for row in as_text]
    assert there["estimate"].tolist() == [float(row["estimate"]) for row in as_text]
    assert there["ticket"].isna().tolist() == [not row["ticket"] for row in as_text]
    assert there["why"].tolist() == [row["why"] for row in as_text]


def test_cells_are_as_somebody_would_type_them(tmp_path):
    day = dt.date(2026, 3, 1)
    columns = {
        "Whole": pa.array([3.0, 2.5, None, None]),
        "n": pa.array([1, 2, None, None], pa.int32()),
        "yes": pa.array([True, False, None, None]),
        "day": pa.array([day, None, day, None]),
        "word": pa.array([" a ", "", "ü", None]).dictionary_encode(),
    }
    parquet.write_table(pa.table(columns), tmp_path / "x.parquet")
    (table,) = tables_of_parquet(tmp_path / "x.parquet")
    assert table.heading == ("whole", "n", "yes", "day", "word")
    assert table.rows == [
        ["3", "1", "yes", "2026-03-01", "a"],
        ["2.5", "2", "no", "", ""],
        ["", "", "", "2026-03-01", "ü"],
    ]
    assert table.numbers == [2, 3, 4]


def test_what_cannot_be_read_is_one_sentence(tmp_path):
    path = tmp_path / "x.parquet"
    parquet.write_table(pa.table({"kinds": [["a"], ["b"]]}), path)
    with pytest.raises(ItemFileError, match="'kinds' holds lists"):
        list(tables_of_parquet(path))
    parquet.write_table(pa.table({"kind": pa.array([], pa.string())}), path)
    with pytest.raises(ItemFileError, match="no rows"):
        list(tables_of_parquet(path))
    path.write_bytes(b"PAR1 and then nothing of the kind")
    assert is_parquet(path)
    with pytest.raises(ItemFileError, match="cannot be read as Parquet"):
        list(tables_of_parquet(path))
    assert not is_parquet(tmp_path / "not there")


def test_an_empty_piece_is_nothing_and_no_number_is_none(tmp_path):
    rows = ParquetRows(tmp_path / "y.parquet", ("name", "price"), {"price"})
    rows.write([])
    rows.write([("a", "1.50"), ("b", ""), ("c", "inf")])
    rows.close()
    found = parquet.read_table(tmp_path / "y.parquet").to_pydict()
    assert found == {"name": ["a", "b", "c"], "price": [1.5, None, float("inf")]}
