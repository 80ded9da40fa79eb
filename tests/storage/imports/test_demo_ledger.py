"""The invented shop has a past: loaded as any shop would load its own, and once."""

from __future__ import annotations

import csv
from datetime import date
from decimal import Decimal

import numpy as np
import pytest
from sent_files import read_sales

from resale.config.paths import shipped
from resale.config.settings import Settings
from resale.garments.rulebook.rule_book import load_rule_book
from resale.storage.db.database import open_records
from resale.storage.imports.past.demo_ledger import LAST_DAY, seed_demo_ledger
from resale.storage.ledger.day_book import day_book
from resale.storage.ledger.ledger import item_life
from resale.storage.ledger.sold_items import sold_items

BOOK = load_rule_book()
SALES = shipped("demo_data") / "sales.csv"


@pytest.fixture(scope="module")
def settings(tmp_path_factory):
    return Settings(data_folder=tmp_path_factory.mktemp("demo"), invented=True)


@pytest.fixture(scope="module")
def records(settings):
    engine = open_records(settings.data_folder)
    assert seed_demo_ledger(engine, BOOK, settings) == 3000
    return engine


def test_it_is_loaded_once(records, settings):
    assert seed_demo_ledger(records, BOOK, settings) == 0


def test_the_takings_are_those_of_the_file_to_the_cent(records):
    with SALES.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    total = sum(Decimal(row["price"]) for row in rows)
    book = day_book(records, date(2024, 1, 1), LAST_DAY, "EUR")
    assert book.sums.sold == total * 100
    assert sum(sums.sold for sums in book.days.values()) == book.sums.sold
    assert max(row["sold_on"] for row in rows) <= LAST_DAY.isoformat()


def test_what_is_learned_from_is_what_the_file_says(records, settings):
    sold = sold_items(records, BOOK, settings)
    file = read_sales(SALES, BOOK)
    order = {number: row for row, number in enumerate(sold.numbers)}
    rows = np.array([order[number] for number in file.items.items])
    np.testing.assert_array_equal(sold.readings.codes[rows], file.items.readings.codes)
    np.testing.assert_array_equal(sold.price[rows], file.price)
    np.testing.assert_array_equal(sold.sold_on[rows], file.sold_on)
    assert sold.readings.rows(rows).seasons == file.items.readings.seasons
    assert sold.readings.rows(rows).labels == file.items.readings.labels


def test_it_says_that_it_is_invented(records):
    assert {event.by for event in item_life(records, "Q-00076").written} == {"invented"}
