"""A shop without a till: a basket, discounts with a reason, ways to pay, undo, the day closed."""

from __future__ import annotations

import re

import pytest
from flask import Flask
from rail_shop import RailShop, clients_words

from resale.services.settlement.owed import accounts_now

GOOD = {"label_standing": "premium"}


@pytest.fixture
def rail(app: Flask, monkeypatch: pytest.MonkeyPatch) -> RailShop:
    return RailShop(app, monkeypatch)


@pytest.fixture
def out(rail: RailShop) -> tuple[RailShop, list[str]]:
    """Two shirts on the rail at 20.00 and 30.00."""
    items = [rail.save("shirt", **GOOD) for _ in range(2)]
    for number, price in zip(items, ("20", "30"), strict=True):
        rail.post(f"/ledger/item/{number}", what="put_out", amount=price)
    return rail, items


def sums(rail: RailShop) -> dict[str, int]:
    found = {account.name: amount for account, amount in accounts_now(rail.shop).items()}
    assert sum(found.values()) == 0
    return found


def test_a_basket_is_sold_at_its_tickets_less_a_discount_and_paid_by_card(out) -> None:
    rail, (first, second) = out
    shown = rail.client.get(f"/till?items={first[2:]}+{second}").text
    assert f'name="price-{first}"' in shown and "€50.00" in shown
    fields = {"items": f"{first} {second}", f"off-{second}": "5", "payment": "card"}
    refused = rail.post("/till", **fields)
    assert refused.status_code == 422 and "a discount has a reason" in refused.text
    assert rail.life(first).state.where == "on_rail"
    done = rail.post("/till", reason="A seam came open", **fields)
    assert "2 sold together for €45.00" in clients_words(rail.client, done.location)
    assert sums(rail) == {"money: card": 4500, "own sales": -4500}
    sale = rail.life(second).held[-1]
    assert (sale.amount, sale.data["discount"]) == (
        2500,
        {"minor": 500, "reason": "A seam came open"},
    )
    home = clients_words(rail.client, "/ledger")
    assert "In the till €0.00" in home and "By card €45.00" in home


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"items": "Q-00099"}, "no item 'Q-00099'"),
        ({"items": ""}, "0 things are in the basket"),
        ({"items": "Q-00001", "off-Q-00001": "99", "reason": "x"}, "the discount takes off"),
        ({"items": "Q-00001", "payment": "shells"}, "is no way to pay"),
        ({"items": "Q-00001", "price-Q-00001": "much"}, "much"),
    ],
)
def test_a_basket_that_cannot_be_sold_says_why_and_keeps_what_was_typed(out, fields, said) -> None:
    rail, _ = out
    answer = rail.post("/till", **{"payment": "cash", **fields})
    assert answer.status_code == 422 and said in answer.text.replace("&#39;", "'")
    assert sums(rail) == {}


def test_a_sale_by_mistake_is_undone_where_it_was_made(out) -> None:
    rail, (first, _) = out
    done = rail.post(f"/ledger/item/{first}", what="sold", amount="20", payment="cash")
    page = rail.client.get(done.location).text
    undo = re.search(r'action="(/ledger/item/[^"]+/undo)"', page)
    assert undo is not None and "Undo it" in page
    back = rail.post(undo[1])
    assert "as it was before" in rail.client.get(back.location).text
    assert (rail.life(first).state.where, sums(rail)) == ("on_rail", {})


def test_what_another_wrote_or_yesterday_is_for_a_lead_to_correct(out) -> None:
    rail, (first, _) = out
    rail.post(f"/ledger/item/{first}", what="sold", amount="20")
    event = rail.life(first).written[-1].id
    rail.later(1)
    answer = rail.post(f"/ledger/item/{first}/{event}/undo")
    assert answer.status_code == 422 and "ask a lead to correct it" in answer.text
    assert rail.post(f"/ledger/item/{first}/9999/undo").status_code == 422


def test_returned_then_sold_again_at_the_ticket_that_is_offered(out) -> None:
    rail, (first, _) = out
    rail.post(f"/ledger/item/{first}", what="sold", amount="18", payment="card")
    rail.post(f"/ledger/item/{first}", what="returned", amount="")
    page = rail.client.get(f"/ledger/item/{first}").text
    # Not what it was sold for, nor what is suggested: what its ticket says.
    assert "Sold at €20.00" in page
    rail.post(f"/ledger/item/{first}", what="sold", amount="")
    assert rail.life(first).state.price == 2000
    assert sums(rail) == {"money: cash": 2000, "own sales": -2000}


def test_a_way_of_paying_is_mended_by_a_correction(out) -> None:
    rail, (first, _) = out
    rail.post(f"/ledger/item/{first}", what="sold", amount="20", payment="cash")
    event = rail.life(first).written[-1].id
    assert "Paid by" in rail.client.get(f"/ledger/item/{first}/{event}").text
    day = rail.day.isoformat()
    rail.post(f"/ledger/item/{first}/{event}", day=day, amount="20", payment="card")
    assert sums(rail) == {"money: card": 2000, "own sales": -2000}


def test_a_day_is_closed_once_and_what_comes_late_counts_on_the_next(out) -> None:
    rail, (first, second) = out
    rail.post(f"/ledger/item/{first}", what="sold", amount="20")
    slip = rail.post("/till/close", day=rail.day.isoformat(), counted="1950", note="")
    assert slip.status_code == 422 and 'value="1950"' in slip.text
    assert "€1,950.00 is counted where €20.00 should be" in slip.text
    answer = rail.post("/till/close", day=rail.day.isoformat(), counted="19.50", note="Coffee")
    assert answer.status_code == 303
    said = clients_words(rail.client, "/ledger")
    assert "€20.00 in cash, €19.50 counted, −0.50. Coffee" in said
    again = rail.post("/till/close", day=rail.day.isoformat())
    assert again.status_code == 422 and "is closed up to" in again.text
    closed = rail.day
    rail.post(f"/ledger/item/{second}", what="sold", amount="30")
    assert "In the till €20.00" in clients_words(rail.client, "/ledger")
    rail.later(1)
    said = clients_words(rail.client, "/ledger")
    assert "In the till €30.00" in said and f"Sale {second} of" in said
    rail.post("/till/close", day=rail.day.isoformat())
    assert "€20.00 in cash" in clients_words(rail.client, f"/ledger?day={closed}")
    assert "€30.00 in cash" in clients_words(rail.client, "/ledger")
