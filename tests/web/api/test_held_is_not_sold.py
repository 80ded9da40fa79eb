"""What hangs and is then held is sold through no door, alone or among others, and nothing goes."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from api_shop import LOOKED_OVER, Ask
from bench_forms import csrf_token, words_of
from flask import Flask
from werkzeug.test import TestResponse

from resale.storage.ledger.ledger import item_life

TICKET = 2500
Send = Callable[[Flask, Ask, str, str], TestResponse]


def on_the_ledgers_page(app: Flask, ask: Ask, held: str, fine: str) -> TestResponse:
    client = app.test_client()
    token = csrf_token(client)
    form = {"what": "sold", "day": "", "amount": "25", "key": f"page-{held}"}
    return client.post(f"/ledger/item/{held}", data={"csrf_token": token, **form})


def at_the_till(app: Flask, ask: Ask, held: str, fine: str) -> TestResponse:
    client = app.test_client()
    token = csrf_token(client)
    form = {"items": f"{fine} {held}", "payment": "cash", "key": f"till-{held}"}
    return client.post("/till", data={"csrf_token": token, **form})


def as_an_event(app: Flask, ask: Ask, held: str, fine: str) -> TestResponse:
    body = {"what": "sold", "amount_minor": TICKET}
    return ask("POST", f"/items/{held}/events", json=body, key=f"event-{held}")


def in_a_basket(app: Flask, ask: Ask, held: str, fine: str) -> TestResponse:
    body = {"lines": [{"number": fine}, {"number": held}]}
    return ask("POST", "/sales", json=body, key=f"basket-{held}")


WAYS: tuple[Send, ...] = (on_the_ledgers_page, at_the_till, as_an_event, in_a_basket)


@pytest.mark.parametrize("sell", WAYS, ids=lambda way: way.__name__)
def test_a_held_thing_is_sold_through_no_door(app: Flask, ask: Ask, sell: Send) -> None:
    numbers = []
    for place in range(2):
        key = f"{sell.__name__}-{place}"
        number = ask("POST", "/items", json=LOOKED_OVER, key=key).json["number"]
        out = {"what": "put_out", "amount_minor": TICKET}
        assert ask("POST", f"/items/{number}/events", json=out, key=f"out-{key}").status_code == 201
        numbers.append(number)
    held, fine = numbers
    ask("POST", f"/items/{held}/holds", json={"hold": "mould"}, key=f"hold-{sell.__name__}")
    refused = sell(app, ask, held, fine)
    assert refused.status_code in (409, 422)
    assert "held" in words_of(refused).lower()
    records = app.extensions["resale"].records
    assert [item_life(records, one).state.where for one in numbers] == ["on_rail", "on_rail"]
