"""A year of sales, returns across months, corrections, payouts and changed shares: books that hold.

After each closing all accounts come to nought, everybody's balance is what a count by brute force
says, and each statement begins with what the one before ended with; at the end of the year every
statement prints as it did on its day.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from consigned_shop import ConsignedShop
from settled_year import settled


def live(folder: Path, empty: Path, **size: int) -> None:
    shutil.copy(empty, folder)
    shop = ConsignedShop(folder)
    year = settled(shop, **size)
    lived, statements = size["months"] / 12, size["months"] * size["consignors"]
    assert len(year.things) == size["items"] * lived
    assert sum(len(thing.sales) for thing in year.things) > size["items"] * lived / 4
    assert year.printed_again() == year.printed and len(year.printed) > statements / 2
    sums = shop.accounts()
    in_hand = sum(amount for name, amount in sums.items() if name.startswith("money"))
    charged = -sums.get("charged", 0)
    assert in_hand == year.till() + sum(year.moved.values()) + charged


def test_a_small_shop_closes_to_nought_month_by_month(tmp_path: Path, empty_records: Path) -> None:
    live(tmp_path, empty_records, seed=3, items=120, consignors=4, papers=8, months=4)


@pytest.mark.long
def test_a_year_of_six_thousand_things_and_eighty_consignors(
    tmp_path: Path, empty_records: Path
) -> None:
    live(tmp_path, empty_records, seed=11, items=6000, consignors=80, papers=1, months=11)
