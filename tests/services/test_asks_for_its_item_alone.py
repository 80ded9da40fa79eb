"""What happens to one item asks for that item: no question goes through what the shop ever had.

How SQLite means to answer is its own word (`EXPLAIN QUERY PLAN`): *SCAN* is a table from its first
row to its last, *SEARCH* goes by an index (https://www.sqlite.org/eqp.html).
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from consigned_shop import LEAD, ConsignedShop
from counted import counted

from resale.services.settlement.statements import close_statement

# What grows with each thing that the shop takes in or sells.
GROWING = {
    "account_entry",
    "brought",
    "deed",
    "event",
    "hold_event",
    "item",
    "item_now",
    "posting",
    "stated_posting",
    "statement",
    "valuation",
}


@pytest.fixture
def shop(tmp_path: Path, empty_records: Path) -> ConsignedShop:
    (tmp_path / empty_records.name).write_bytes(empty_records.read_bytes())
    shop = ConsignedShop(tmp_path)
    shop.consignor("C-0001")
    return shop


def gone_through(shop: ConsignedShop, do: Callable[[], object]) -> list[str]:
    """Tables that some question read from end to end, with the question."""
    records = shop.shop.records
    with counted(records) as asked:
        do()
    found = []
    with records.connect() as open_one:
        for statement in dict.fromkeys(asked.statements):
            blanks = (None,) * statement.count("?")
            plan = open_one.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", blanks)
            steps = (row[3].split() for row in plan if row[3].startswith("SCAN "))
            # By an index for those without a share alone, which is empty day by day.
            scans = {step[1] for step in steps if not step[-1].endswith("_without_share")}
            if statement.startswith("INSERT INTO event"):
                # What names the new line already, which is looked for only where a key of another
                # table is amiss (https://www.sqlite.org/foreignkeys.html, 3): timed, it costs none.
                scans.discard("account_entry")
            found += [f"{table}: {statement}" for table in scans & GROWING]
    return found


def test_a_sale_a_return_and_a_correction(shop: ConsignedShop) -> None:
    item = shop.brings("C-0001")
    sold: list[int] = []
    assert gone_through(shop, lambda: sold.append(shop.sells(item, "02-01", 900))) == []
    corrects = lambda: shop.corrects(item, sold[0], "02-02", "02-01", 800)  # noqa: E731
    assert gone_through(shop, corrects) == []
    assert gone_through(shop, lambda: shop.happens(item, "returned", "02-03", 800)) == []


def test_what_a_consignor_brings_and_a_statement(shop: ConsignedShop) -> None:
    assert gone_through(shop, lambda: shop.brings("C-0001")) == []
    shop.sells(shop.brings("C-0001"), "02-01", 900)
    end = shop.at("02-28")
    close = lambda: close_statement(shop.shop, LEAD, "C-0001", end.date(), end)  # noqa: E731
    assert gone_through(shop, close) == []
