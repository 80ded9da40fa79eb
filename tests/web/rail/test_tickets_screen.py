"""Tickets from the screen: what is printed is what the Ledger says, and a scan finds it again."""

from __future__ import annotations

from io import BytesIO

import pypdfium2
import pytest
import zxingcpp
from flask import Flask
from pypdf import PdfReader
from rail_shop import RailShop, clients_words

from resale.selling.tickets.label_stock import STOCKS
from resale.web import create_app
from resale.web.core.item_number import number_in

GOOD = {"label_standing": "premium"}


@pytest.fixture
def rail(app: Flask, monkeypatch: pytest.MonkeyPatch) -> RailShop:
    return RailShop(app, monkeypatch)


def words_on(pdf: bytes) -> str:
    return " ".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages)


def marks_on(pdf: bytes) -> list[str]:
    page = pypdfium2.PdfDocument(pdf)[0]
    return sorted(one.text for one in zxingcpp.read_barcodes(page.render(scale=4).to_pil()))


def test_tickets_of_today_say_number_price_and_size_and_their_marks_read_back(
    rail: RailShop,
) -> None:
    numbers = [rail.save("jacket", "52", **GOOD) for _ in range(3)]
    rail.post("/rail/out", pick=numbers[:2])
    pdf = rail.client.get("/tickets/print?today=1&stock=a4-3x8")
    assert pdf.mimetype == "application/pdf"
    said = words_on(pdf.data)
    price = rail.shop.money.show(rail.life(numbers[0]).state.price or 0)
    assert price in said and "52" in said
    assert numbers[0] in said and numbers[1] in said and numbers[2] not in said
    assert marks_on(pdf.data) == numbers[:2]


def test_printing_again_gives_the_same_sheet(rail: RailShop) -> None:
    number = rail.save("jacket", **GOOD)
    rail.post("/rail/out", pick=[number])
    first = rail.client.get(f"/tickets/print?pick={number}").data
    rail.later(3)
    assert rail.client.get(f"/tickets/print?pick={number}").data == first


def test_the_mark_holds_the_ledgers_address_where_the_shop_has_one(
    rail: RailShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    number = rail.save("jacket", **GOOD)
    folder = rail.shop.settings.data_folder
    other = RailShop(create_app(folder, ticket_address="http://till.example:8765/"), monkeypatch)
    pdf = other.client.get(f"/tickets/print?pick={number}&stock=letter-2x5").data
    assert marks_on(pdf) == [f"http://till.example:8765/ledger?number={number}"]


@pytest.mark.parametrize(
    "stock",
    [
        pytest.param(one.id, marks=pytest.mark.long if at % 3 else ())
        for at, one in enumerate(STOCKS)
    ],
)
def test_every_stock_has_a_test_print_and_prints_a_ticket(rail: RailShop, stock: str) -> None:
    number = rail.save("jacket", **GOOD)
    assert rail.client.get(f"/tickets/test-print?stock={stock}").data.startswith(b"%PDF")
    assert number in words_on(rail.client.get(f"/tickets/print?pick={number}&stock={stock}").data)


def test_a_sheet_begun_before_goes_on_at_the_first_free_label(rail: RailShop) -> None:
    number = rail.save("jacket", **GOOD)
    pages = {
        start: pypdfium2.PdfDocument(
            rail.client.get(f"/tickets/print?pick={number}&stock=a4-3x8&start={start}").data
        )[0].render(scale=2)
        for start in (1, 24)
    }
    where = {
        start: zxingcpp.read_barcodes(page.to_pil())[0].position.top_left
        for start, page in pages.items()
    }
    assert where[24].x > where[1].x and where[24].y > where[1].y
    assert rail.client.get(f"/tickets/print?pick={number}&start=99").status_code == 422


def test_nothing_to_print_and_unknown_labels_get_a_sentence(rail: RailShop) -> None:
    assert "No item is picked" in clients_words(rail.client, "/tickets")
    assert rail.client.get("/tickets/print").status_code == 422
    answer = rail.client.get("/tickets?stock=napkin")
    assert answer.status_code == 422 and "no label stock" in answer.text


@pytest.mark.parametrize(
    "typed", ["Q-00001", "q-00001", "1", "00001", " q 1 ", "/x?number=Q-00001"]
)
def test_a_scan_or_a_bare_number_opens_the_item(rail: RailShop, typed: str) -> None:
    number = rail.save("jacket", **GOOD)
    answer = rail.client.get("/tickets/find", query_string={"number": typed})
    assert answer.status_code == 303 and answer.location == f"/rail/{number}"


def test_what_is_no_number_is_left_as_it_was_typed() -> None:
    assert number_in("blue jacket") == "BLUE JACKET"
    assert number_in("") == ""
