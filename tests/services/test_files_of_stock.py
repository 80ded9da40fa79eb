"""Files of consignors and of stock, as a hurried owner writes them: nothing is guessed."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from consigned_shop import LEAD, ConsignedShop

from resale.services.items.bring_stock import bring_stock, try_stock
from resale.services.settlement.bring_consignors import bring_consignors, try_consignors
from resale.storage.imports.cells.past_cells import Told
from resale.storage.ledger.consignors import consignors

TODAY = date(2026, 3, 1)


@pytest.fixture
def shop(tmp_path: Path, empty_records: Path) -> ConsignedShop:
    (tmp_path / empty_records.name).write_bytes(empty_records.read_bytes())
    return ConsignedShop(tmp_path)


def people(shop: ConsignedShop, *rows: str) -> list[str]:
    """Bring consignors in, and say why the others come back."""
    file = try_consignors(shop.shop, "\n".join(["number,name,share", *rows]).encode(), "p.csv")
    bring_consignors(shop.shop, LEAD, file, shop.at("03-01"))
    return [f"{one.row}: {one.what}" for one in file.problems]


def named(shop: ConsignedShop) -> list[tuple[str, str]]:
    return [(one.number, one.name) for one in consignors(shop.shop.records)]


def test_one_number_is_one_person(shop: ConsignedShop) -> None:
    back = people(shop, "7,Ada,50", "8,Bo,50", "7,Cy,50", "8,Bo,50", "9,Di,40", "9,Di,60")
    assert back == [
        "2: consignor 7 stands twice, for Ada and Cy",
        "4: consignor 7 stands twice, for Ada and Cy",
        "6: consignor 9 stands twice, with unlike shares",
        "7: consignor 9 stands twice, with unlike shares",
    ]
    assert named(shop) == [("8", "Bo")]


def test_a_file_renames_nobody_and_changes_no_share(shop: ConsignedShop) -> None:
    assert people(shop, "7,Ada,50", "8,,") == []
    back = people(shop, "7,Cy,50", "7,ada,", "8,Bo,", "7,Ada,40")
    assert back[:1] == ["2: consignor 7 stands twice, for Cy and ada and Ada"]
    assert people(shop, "7,Cy,") == ["2: consignor 7 is Ada here, not Cy"]
    assert people(shop, "7,,40") == ["2: consignor 7 agreed on another share"]
    assert people(shop, "7,ADA,0.5", "8,Bo,") == []
    assert named(shop) == [("7", "Ada"), ("8", "Bo")]


def test_three_pieces_are_three_things_or_come_back(shop: ConsignedShop) -> None:
    rows = ["item,kind,ticket,quantity", "A-1,shirt,14,1", "A-2,shirt,15,3", ",shirt,16,3"]
    trial = try_stock(shop.shop, "\n".join(rows).encode(), "stock.csv", Told(), TODAY)
    assert [one.what for one in trial.problems] == ["3 pieces stand under the number A-2"]
    assert [one.ticket for one in trial.rows] == [1400, 1600, 1600, 1600]
    assert bring_stock(shop.shop, LEAD, trial, shop.at("03-01")) == 4
    again = try_stock(shop.shop, "\n".join(rows).encode(), "stock.csv", Told(), TODAY)
    assert (len(again.rows), again.known) == (0, 4)
