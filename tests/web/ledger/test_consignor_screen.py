"""Consignors: what they brought, what became of it, and papers that agree with the Ledger."""

from __future__ import annotations

import csv
import re
from datetime import timedelta
from decimal import Decimal
from io import BytesIO, StringIO

import pytest
from flask import Flask
from pypdf import PdfReader
from rail_shop import RailShop, clients_words
from writing import SORTER

from resale.services.ledger.write_event import write_event
from resale.storage.ledger.day_book import day_book
from resale.storage.ledger.event_checks import NewEvent

GOOD = {"label_standing": "premium"}


@pytest.fixture
def rail(app: Flask, monkeypatch: pytest.MonkeyPatch) -> RailShop:
    return RailShop(app, monkeypatch)


def sold(rail: RailShop, number: str, amount: int) -> None:
    new = NewEvent(number, "sold", rail.day, f"sold-{number}", amount)
    write_event(rail.shop, SORTER, new, rail.shop.now())


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


def test_a_statement_is_closed_on_the_screen_and_prints_the_same_ever_after(
    settled: tuple[RailShop, list[str]],
) -> None:
    rail, mine = settled
    said = clients_words(rail.client, "/consignors/C-7")
    # Half of 12.35 is 6.175: half a cent goes to the consignor.
    assert "Owed to them €6.18" in said and "Closed statements" not in said
    rail.post("/consignors/C-7/close", end=rail.day.isoformat())
    said = clients_words(rail.client, "/consignors/C-7")
    assert "C-7/1" in said and "Due by statement €6.18" in said
    shown = clients_words(rail.client, "/consignors/C-7/statements/1")
    assert mine[0] in shown and "It is never changed" in shown and mine[2] in shown
    paper = rail.client.get("/consignors/C-7/statements/1.pdf").data
    rail.later(40)
    rail.post(f"/ledger/item/{mine[0]}", what="returned", amount="")
    rail.post("/consignors/C-7/name", name="Another Name")
    assert rail.client.get("/consignors/C-7/statements/1.pdf").data == paper
    rows = sheet(rail, "/consignors/C-7/statements/1.csv")
    assert [row["amount"] for row in rows] == ["0.00", "6.18", "6.18"]
    rail.post("/payments/close", end=rail.day.isoformat())
    rows = sheet(rail, "/consignors/C-7/statements/2.csv")
    assert [(row["line"], row["amount"]) for row in rows] == [
        ("carried_over", "6.18"),
        ("return", "-6.18"),
        ("owed", "0.00"),
    ]


def test_a_number_that_somebody_has_is_given_to_nobody_else(rail: RailShop) -> None:
    """What is owed goes by the number: typed for a new person, it would pay the wrong one."""
    rail.post("/consignors", number="C-7", name="An Invented Name")
    answer = rail.post("/consignors", number="c-7", name="Somebody Else")
    assert answer.status_code == 422 and "it is An Invented Name already" in answer.text
    rail.post("/consignors", number="C-7", name="")
    assert "C-7 An Invented Name" in clients_words(rail.client, "/consignors/C-7")
    rail.post("/consignors/C-7/name", name="Her Married Name")
    assert "C-7 Her Married Name" in clients_words(rail.client, "/consignors/C-7")


def test_all_accounts_together_are_nought_and_the_till_is_the_day_book(
    settled: tuple[RailShop, list[str]],
) -> None:
    rail, _ = settled
    said = clients_words(rail.client, "/payments")
    book = day_book(rail.shop.records, rail.day - timedelta(30), rail.day, "EUR")
    assert book.sums.sold == 2135 and "Money: cash 21.35" in said and "Together 0.00" in said


def test_the_payment_list_is_paid_on_the_screen_once(
    settled: tuple[RailShop, list[str]],
) -> None:
    rail, _ = settled
    rail.post("/payments/close", end=rail.day.isoformat())
    assert [(row["consignor"], row["to_pay"]) for row in sheet(rail, "/payments.csv")] == [
        ("C-7", "6.18"),
        ("C-8", "4.50"),
    ]
    for _ in range(2):
        rail.post("/payments", key="once", pick=["C-7", "C-8"], payment="transfer")
    assert sheet(rail, "/payments.csv") == []
    assert "Nobody is owed anything" in clients_words(rail.client, "/payments")
    rail.post("/consignors/C-7/money", what="deduction", amount="2", note="Repair", payment="cash")
    assert "They owe the shop €2.00" in clients_words(rail.client, "/consignors/C-7")
    entry = re.search(r'name="entry" value="(\d+)"', rail.client.get("/consignors/C-7").text)
    assert entry is not None
    rail.post("/consignors/C-7/take-back", entry=entry[1])
    assert "Owed to them €0.00" in clients_words(rail.client, "/consignors/C-7")


def test_a_share_is_agreed_on_the_screen(rail: RailShop) -> None:
    item, other = rail.save("shirt", **GOOD), rail.save("shirt", **GOOD)
    rail.post("/consignors", number="C-7")
    rail.post("/consignors/C-7/share", share="60")
    rail.post("/consignors/C-7/brings", items=item)
    rail.post("/consignors/C-7/brings", items=other, share="33,5 %")
    sold(rail, item, 1000)
    sold(rail, other, 1000)
    assert "Owed to them €9.35" in clients_words(rail.client, "/consignors/C-7")


def test_the_papers_print_number_name_share_and_reasons(
    settled: tuple[RailShop, list[str]],
) -> None:
    rail, mine = settled
    for name, words in (
        ("statement", ["Not closed yet", "C-7", "An Invented Name", mine[2], "6.18", "50 %"]),
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
        ("/consignors/C-1/share", {"share": "120"}, 422, "is no share"),
        ("/consignors/C-1/share", {"share": ""}, 422, "no share is given"),
        ("/consignors/C-1/close", {"end": "2026-03-01"}, 422, "nothing happened"),
        ("/consignors/C-1/money", {"what": "payout", "amount": ""}, 422, "no amount is given"),
        ("/consignors/C-1/money", {"amount": "1", "payment": "x"}, 422, "is no way to pay"),
        ("/consignors/C-1/take-back", {"entry": "7"}, 422, "cannot be taken back here"),
        ("/payments", {"payment": "cash"}, 422, "nobody is picked"),
    ],
)
def test_what_cannot_be_kept_of_a_consignor_gets_a_sentence(
    rail: RailShop, path: str, fields: dict[str, str], code: int, sentence: str
) -> None:
    rail.post("/consignors", number="C-1")
    answer = rail.post(path, **fields)
    assert answer.status_code == code
    assert sentence in answer.text.replace("&#39;", "'")
