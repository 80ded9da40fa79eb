"""The invented second looks are made again byte for byte, and name only what the book has."""

from __future__ import annotations

import csv
import sys
from pathlib import Path

from resale.garments.rulebook.rule_book import load_rule_book

FOLDER = Path(__file__).parents[2] / "demo_data"
sys.path.insert(0, str(FOLDER))

import second_looks  # noqa: E402


def test_the_same_book_and_items_give_the_same_second_looks(tmp_path):
    made = second_looks.make(tmp_path, FOLDER)
    for name in ("second_looks.csv", second_looks.ORDERS):
        assert (tmp_path / name).read_bytes() == (FOLDER / name).read_bytes()
    assert made["readings"] == 4 * made["items"]


def test_every_answer_is_an_option_of_its_sign():
    book = load_rule_book()
    with (FOLDER / "second_looks.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            kind = book.kinds[row["kind"]]
            for signal in second_looks.SIGNALS:
                assert not row[signal] or row[signal] in kind.by_id[signal].option_ids
