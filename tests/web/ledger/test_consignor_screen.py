"""Consignors: what they brought, what became of it, and papers that agree with the Ledger."""

from __future__ import annotations

import csv
from datetime import timedelta
from decimal import Decimal
from io import BytesIO, StringIO

import pytest
from flask import Flask
from pypdf import PdfReader
from rail_shop import RailShop, clients_words
from writing import add_event

from resale.storage.ledger.day_book import day_book
from resale.storage.ledger.event_checks import NewEvent

GOOD = {"label_standing": "premium"}


@pytest.fixture
def rail(app: Flask, monkeypatch: pytest.MonkeyPatch) -> RailShop:
    return RailShop(app, monkeypatch)


def sold(rail: RailShop, number: str, amount: int) -> None:
    new = NewEvent(number, "sold", rail.day, f"sold-{number}", amount)
    add_event(rail.shop.records, new, currency="EUR", at=rail.shop.now())


@pytest.fixture
def settled(rail: RailShop) -> tuple[RailShop, list[str]]:
    """One consignor with an item sold, one on the rail and one passed on; another with a sale."""
    mine = [rail.save("jacket", "52", **GOOD) for _ in range(3)]
    other = rail.save("shirt", **GOOD)
    rail.post("/consignors", number="c-7", name="An Invented Name")
    rail.post("/consignors", number="C-8", name="")
    rail.post("/consignors/C-7/brings", items=" ".join([mine[0], mine[1][2:], mine[2]]))
    rail.post("/consignors/C-8/brings", items=other)
    rail.post("/rail/out", pick=[*mine, other])
    rail.later(5)
    sold(rail, mine[0], 1235)
    sold(rail, other, 900)
    rail.post("/rail/away", pick=[mine[2]])
    return rail, mine


def sheet(rail: RailShop, path: str) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(rail.client.get(path).data.decode("utf-8-sig"))))


def test_the_settlement_says_what_became_of_each_item_and_adds_up_to_the_cent(
    settled: tuple[RailShop, list[str]],
) -> None:
    rail, mine = settled
    rows = sheet(rail, "/consignors/C-7/settlement.csv")
    items = {row["item"]: row for row in rows if row["line"] == "item"}
    assert {one: items[one]["outcome"] for one in mine} == {
        mine[0]: "sold",
        mine[1]: "still on sale",
        mine[2]: "passed on",
    }
    total = next(row for row in rows if row["line"] == "total")
    # Half of 12.35 is 6.175: half a cent goes to the consignor.
    assert (total["sold_for"], total["consignor_part"], total["shop_part"]) == (
        "12.35",
        "6.18",
        "6.17",
    )


def test_all_settlements_together_are_the_sales_of_the_day_book(
    settled: tuple[RailShop, list[str]],
) -> None:
    rail, _ = settled
    totals = [
        Decimal(row["sold_for"])
        for number in ("C-7", "C-8")
        for row in sheet(rail, f"/consignors/{number}/settlement.csv")
        if row["line"] == "total"
    ]
    book = day_book(rail.shop.records, rail.day - timedelta(30), rail.day, "EUR")
    assert sum(totals) * 100 == book.sums.sold == 2135


def test_a_sale_before_the_days_asked_for_stands_in_an_earlier_settlement(
    settled: tuple[RailShop, list[str]],
) -> None:
    rail, mine = settled
    rail.later(10)
    begin = rail.day.isoformat()
    rows = sheet(rail, f"/consignors/C-7/settlement.csv?begin={begin}")
    assert [row["item"] for row in rows if row["line"] == "item"] == [mine[1]]


def test_the_papers_print_number_name_share_and_reasons(
    settled: tuple[RailShop, list[str]],
) -> None:
    rail, mine = settled
    for name, words in (
        ("settlement", ["Settlement", "C-7", "An Invented Name", "passed on", "6.18", "50 %"]),
        ("take-in", ["Take-in sheet", "C-7", mine[1], "a charity", "Standing of the label"]),
    ):
        pdf = rail.client.get(f"/consignors/C-7/{name}.pdf").data
        said = " ".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages)
        for word in words:
            assert word in said, (name, word)


def test_the_take_in_sheet_lists_what_is_still_with_the_shop(
    settled: tuple[RailShop, list[str]],
) -> None:
    rail, mine = settled
    rows = sheet(rail, "/consignors/C-7/take-in.csv")
    assert [row["item"] for row in rows] == [mine[1]]
    price = rail.life(mine[1]).state.price or 0
    assert Decimal(rows[0]["first_price"]) * 100 == price


def test_an_item_has_one_consignor_and_can_be_taken_off_again(
    settled: tuple[RailShop, list[str]],
) -> None:
    rail, mine = settled
    answer = rail.post("/consignors/C-8/brings", items=mine[1])
    assert answer.status_code == 422 and "somebody else brought it" in answer.text
    rail.post("/consignors/C-7/takes-off", item=mine[1])
    assert rail.post("/consignors/C-8/brings", items=mine[1]).status_code == 303
    assert mine[1] in clients_words(rail.client, "/consignors/C-8")


def test_a_number_is_made_where_none_is_given_and_a_name_can_be_mended(rail: RailShop) -> None:
    assert rail.post("/consignors", name="").location == "/consignors/C-0001"
    rail.post("/consignors", number="C-0001", name="Other")
    said = clients_words(rail.client, "/consignors")
    assert "C-0001" in said and "Other" in said


@pytest.mark.parametrize(
    ("path", "fields", "code", "sentence"),
    [
        ("/consignors", {"number": "a/b"}, 422, "is no consignor's number"),
        ("/consignors", {"name": "x" * 81}, 422, "the name has 81 characters"),
        ("/consignors/C-1/brings", {"items": ""}, 422, "no item is named"),
        ("/consignors/C-1/brings", {"items": "Q-00077"}, 404, "no item"),
        ("/consignors/C-9/brings", {"items": "Q-00077"}, 404, "no consignor"),
    ],
)
def test_what_cannot_be_kept_of_a_consignor_gets_a_sentence(
    rail: RailShop, path: str, fields: dict[str, str], code: int, sentence: str
) -> None:
    rail.post("/consignors", number="C-1")
    answer = rail.post(path, **fields)
    assert answer.status_code == code
    assert sentence in answer.text.replace("&#39;", "'")


def test_days_the_wrong_way_round_or_unreadable_get_a_sentence(rail: RailShop) -> None:
    rail.post("/consignors", number="C-1")
    for asked in ("begin=soon", "begin=2026-05-02&end=2026-05-01"):
        assert rail.client.get(f"/consignors/C-1/settlement.pdf?{asked}").status_code == 422
    assert rail.client.get("/consignors/C-9").status_code == 404
