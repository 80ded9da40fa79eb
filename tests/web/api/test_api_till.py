"""A till's whole day over the API: baskets, slips, ways of paying, discounts, the day closed."""

from __future__ import annotations

import html
import io
import json
from copy import deepcopy
from datetime import date
from typing import Any
from urllib.parse import unquote

import pytest
from api_shop import LOOKED_OVER, V1, Ask, token_of
from camera import shot
from flask import Flask
from pypdf import PdfReader
from signed_in import signed_in
from werkzeug.test import TestResponse
from writing import SORTER

from resale.services.settlement.consigned import bring_items
from resale.services.settlement.owed import accounts_now, due_to
from resale.storage.ledger.consignors import save_consignor
from resale.web import create_app
from resale.web.api.operations import OPERATIONS

TODAY = "today"


@pytest.fixture
def app(tmp_path) -> Flask:
    """A shop for each test: days are closed here."""
    return create_app(tmp_path, RATELIMIT_ENABLED=False)


@pytest.fixture
def ask(app: Flask) -> Ask:
    token = token_of(app, "Till")

    def send(method: str, path: str, *, key: str | None = None, **more: Any) -> TestResponse:
        headers = {"Authorization": f"Bearer {token}", **more.pop("headers", {})}
        if key is not None:
            headers["Idempotency-Key"] = f'"{key}"'
        return app.test_client().open(f"{V1}{path}", method=method, headers=headers, **more)

    return send


@pytest.fixture
def shirts(ask: Ask) -> list[str]:
    """Two jackets on the rail at 20.00 and 30.00."""
    numbers = []
    for place, price in enumerate((2000, 3000)):
        number = ask("POST", "/items", json=LOOKED_OVER, key=f"save-{place}").json["number"]
        out = {"what": "put_out", "amount_minor": price}
        assert (
            ask("POST", f"/items/{number}/events", json=out, key=f"out-{place}").status_code == 201
        )
        numbers.append(number)
    return numbers


def sums(app: Flask) -> dict[str, int]:
    found = accounts_now(app.extensions["resale"])
    assert sum(found.values()) == 0
    return {account.name: amount for account, amount in found.items()}


def test_a_basket_with_a_discount_paid_in_two_ways(app: Flask, ask: Ask, shirts) -> None:
    first, second = shirts
    body = {
        "lines": [{"number": first}, {"number": second, "discount_minor": 500}],
        "paid": [{"payment": "card", "amount_minor": 1500}, {"payment": "cash"}],
        "discount_reason": "A seam came open",
    }
    sold = ask("POST", "/sales", json=body, key="sale")
    assert sold.status_code == 201, sold.json
    assert sold.json["total_minor"] == 4500 and sold.json["paid"] == {"card": 1500, "cash": 3000}
    assert [line["paid_minor"] for line in sold.json["lines"]] == [2000, 2500]
    # Sent again: the same answer, and nothing more sold.
    assert ask("POST", "/sales", json=body, key="sale").json == sold.json
    assert sums(app) == {"money: card": 1500, "money: cash": 3000, "own sales": -4500}
    lines = ask("GET", f"/days/{TODAY}/lines").json
    sales = [line for line in lines["lines"] if line["what"] == "sold"]
    assert [line["paid"] for line in sales] == [{"card": 1500, "cash": 500}, {"cash": 2500}]
    assert {line["sale"] for line in sales} == {sold.json["sale"]}
    assert (sales[1]["discount_minor"], sales[1]["discount_reason"]) == (500, "A seam came open")


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ({"lines": [{"number": "Q-00001"}, {"number": "Q-00001"}]}, "twice"),
        ({"lines": [{"number": "Q-00001", "discount_minor": 5}]}, "a discount has a reason"),
        (
            {"lines": [{"number": "Q-00001"}], "paid": [{"payment": "cash", "amount_minor": 5}]},
            "is to be paid",
        ),
        ({"lines": [{"number": "Q-00099"}]}, "No item 'Q-00099'"),
    ],
)
def test_a_basket_that_cannot_be_is_refused_whole(app, ask: Ask, shirts, body, said) -> None:
    answer = ask("POST", "/sales", json=body, key="sale")
    assert answer.status_code in (404, 422) and said in json.dumps(answer.json), answer.json
    assert sums(app) == {}


def test_a_slip_is_put_right_by_the_till_that_made_it(app: Flask, ask: Ask, shirts) -> None:
    first, second = shirts
    sold = ask("POST", f"/items/{first}/events", json={"what": "sold"}, key="a").json
    right = {"event": sold["event"], "amount_minor": 1800, "payment": "card"}
    done = ask("POST", f"/items/{first}/corrections", json=right, key="b")
    assert done.status_code == 201 and done.json["where"] == "sold", done.json
    assert sums(app) == {"money: card": 1800, "own sales": -1800}
    never = {"event": sold["event"], "never": True}
    assert (
        ask("POST", f"/items/{first}/corrections", json=never, key="c").json["where"] == "on_rail"
    )
    assert sums(app) == {}
    # Another device's line is a lead's to correct.
    other = token_of(app, "Another till")
    answer = app.test_client().post(
        f"{V1}/items/{second}/events",
        json={"what": "sold"},
        headers={"Authorization": f"Bearer {other}", "Idempotency-Key": '"d"'},
    )
    wrong = {"event": answer.json["event"], "never": True}
    refused = ask("POST", f"/items/{second}/corrections", json=wrong, key="e")
    assert refused.status_code == 422 and "ask a lead to correct it" in json.dumps(refused.json)


def test_a_day_is_closed_once_and_says_what_was_counted(app: Flask, ask: Ask, shirts) -> None:
    ask("POST", f"/items/{shirts[0]}/events", json={"what": "sold"}, key="a")
    before = ask("GET", f"/days/{TODAY}").json
    assert (before["till_minor"], before["closed"]) == ({"cash": 2000}, None)
    slip = ask("POST", f"/days/{TODAY}/closing", json={"counted_minor": 2}, key="slip")
    assert slip.status_code == 422 and "€0.02 is counted where €20.00" in slip.json["detail"]
    body = {"counted_minor": 1950, "note": "Coffee"}
    closed = ask("POST", f"/days/{TODAY}/closing", json=body, key="close")
    assert closed.status_code == 201, closed.json
    assert (closed.json["expected_minor"], closed.json["difference_minor"]) == ({"cash": 2000}, -50)
    assert ask("POST", f"/days/{TODAY}/closing", json=body, key="close").json == closed.json
    assert ask("POST", f"/days/{TODAY}/closing", json={}, key="again").status_code == 422
    assert ask("GET", f"/days/{TODAY}").json["closed"] == closed.json
    # A customer who comes late is served, and counts tomorrow.
    late = ask("POST", f"/items/{shirts[1]}/events", json={"what": "sold"}, key="late")
    assert late.status_code == 201
    assert ask("GET", f"/days/{TODAY}").json["till_minor"] == {"cash": 2000}


def test_where_a_thing_is_and_whose_is_searched_and_filtered(app: Flask, ask: Ask, shirts) -> None:
    first, second = shirts
    shop = app.extensions["resale"]
    save_consignor(shop.records, "C-7", "", shop.here())
    bring_items(shop, SORTER, "C-7", [first], shop.here())
    ask("POST", f"/items/{second}/events", json={"what": "sold"}, key="a")

    def found(**query: str) -> list[str]:
        answer = ask("GET", "/items", query_string=query)
        assert answer.status_code == 200, answer.json
        return [line["number"] for line in answer.json["items"]]

    assert found(consignor="c-7") == [first] == found(where="on_rail")
    assert found(where="sold") == [second] and found(where="gone") == []
    assert found(q="harrow") == [second, first] == found(kind="jacket")
    assert found(q=first, where="sold") == [] == found(kind="shirt")
    life = ask("GET", f"/items/{first}").json
    assert (life["where"], life["consignor"]) == ("on_rail", "C-7")
    lines = {one["number"]: one for one in ask("GET", "/items").json["items"]}
    assert (lines[second]["where"], lines[second]["consignor"]) == ("sold", None)
    assert ask("GET", "/items", query_string={"where": "moon"}).status_code == 422
    ask("POST", f"/items/{first}/events", json={"what": "sold"}, key="b")
    assert due_to(shop, "C-7").owed == 1000


def test_a_ticket_comes_as_paper_and_not_of_what_is_sold(app: Flask, ask: Ask, shirts) -> None:
    first, second = shirts
    paper = ask("GET", f"/items/{first}/ticket.pdf")
    assert paper.mimetype == "application/pdf"
    said = PdfReader(io.BytesIO(paper.data)).pages[0].extract_text()
    assert first in said and "20.00" in said
    ask("POST", f"/items/{second}/events", json={"what": "sold"}, key="a")
    refused = ask("GET", f"/items/{second}/ticket.pdf")
    assert refused.status_code == 422 and "it is sold" in json.dumps(refused.json)
    assert ask("GET", "/items/Q-00099/ticket.pdf").status_code == 404


def test_a_ticket_says_which_letters_it_could_not_print(app: Flask, ask: Ask) -> None:
    """As the screens say it before they print; the header by RFC 9651, whose example is its own."""
    said = {**LOOKED_OVER, "size": "大きい"}
    number = ask("POST", "/items", json=said, key="large").json["number"]
    paper = ask("GET", f"/items/{number}/ticket.pdf")
    assert "???" in PdfReader(io.BytesIO(paper.data)).pages[0].extract_text()
    told = paper.headers["Lost-Letters"]
    assert told.isascii() and told.startswith('%"On paper %e5%a4%a7') and told.endswith('."')
    with app.app_context():
        page = signed_in(app, "lead").get(f"/tickets?pick={number}").text
    assert html.escape(unquote(told[2:-1])) in page
    described = ask("GET", "/openapi.json").json["paths"][f"{V1}/items/{{number}}/ticket.pdf"]
    assert "Lost-Letters" in described["get"]["responses"]["200"]["headers"]
    plain = ask("POST", "/items", json=LOOKED_OVER, key="plain").json["number"]
    assert "Lost-Letters" not in ask("GET", f"/items/{plain}/ticket.pdf").headers


def test_a_photo_is_kept_once(ask: Ask, shirts) -> None:
    def send(content: bytes, kind: str = "image/jpeg") -> TestResponse:
        path = f"/items/{shirts[0]}/photos"
        return ask("POST", path, data=content, headers={"Content-Type": kind})

    kept = send(shot())
    assert kept.status_code == 201, kept.json
    assert send(shot()).json == kept.json
    assert send(shot(), "text/plain").status_code == 415
    assert send(b"no picture").status_code == 422
    assert ask("POST", "/items/Q-00099/photos", data=shot()).status_code == 404


def bodies(app: Flask) -> dict[str, tuple[str, str, dict[str, Any]]]:
    """Every example of the document, by operation: its method, address and body."""
    document = app.test_client().get(f"{V1}/openapi.json").json
    found = {}
    for address, item in document["paths"].items():
        for method, said in item.items():
            content = said.get("requestBody", {}).get("content", {}).get("application/json")
            if content is not None:
                found[said["operationId"]] = (method.upper(), address, content["example"])
    return found


def test_every_body_of_the_document_has_a_whole_example_that_works(app: Flask, ask: Ask) -> None:
    """Each is sent as it stands; where it names a number, an event or a day, one of this shop's."""
    examples = bodies(app)
    wanted = {name[4:] for name, one in OPERATIONS.items() if one.body}
    assert set(examples) == wanted
    shop, number = app.extensions["resale"], ""
    today = shop.here().date().isoformat()
    for place in range(4):
        number = ask("POST", "/items", json=LOOKED_OVER, key=f"item-{place}").json["number"]
        ask("POST", f"/items/{number}/events", json={"what": "put_out"}, key=f"out-{place}")
    sold = ask("POST", f"/items/{number}/events", json={"what": "sold"}, key="sold").json
    order = ["value", "values", "save", "sale", "correct", "happened", "hold_item", "clear_item"]
    for name in [*order, *sorted(set(examples) - set(order))]:
        method, address, example = examples[name]
        body = deepcopy(example)
        if "day" in body:
            body["day"] = today
        if name == "correct":
            body["event"] = sold["event"]
        # What the example of an event sells must not be sold yet.
        whose = "Q-00003" if name == "happened" else number
        path = address.removeprefix(V1).replace("{number}", whose).replace("{day}", today)
        answer = ask(method, path.replace("{hold}", "mould"), json=body)
        assert answer.status_code in (200, 201), (name, answer.json)
        missing = set(OPERATIONS[f"api.{name}"].body.model_fields) - set(example)
        # Whole: every field that may be sent is shown, but what is of another use of the same body.
        other = {"number", "readings", "looks", "label", "size", "tape", "care", "note"}
        # Of a thing that no kind fits.
        other |= {"what", "price_minor", "price_reason"}
        assert missing <= other, (name, missing)
    assert date.fromisoformat(today) <= shop.here().date()
