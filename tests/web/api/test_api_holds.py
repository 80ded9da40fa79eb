"""Holds over the API: raised by a device, cleared on a lead's word; old sendings are let go."""

from __future__ import annotations

from datetime import timedelta

import pytest
from api_shop import V1, Ask, token_of
from flask import Flask
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from resale.storage.db.device_tables import DeviceRequest
from resale.storage.ledger.hold_rows import last_rows
from resale.storage.people.people import add_person
from resale.web.core.shop import Shop

WORD = {"lead": "Leopold", "reason": "Looked at by daylight.", "mistake": True}


@pytest.fixture(autouse=True)
def people(app: Flask) -> None:
    shop = app.extensions["resale"]
    add_person(shop.records, "Leopold", "lead", shop.now())
    add_person(shop.records, "Sunniva", "sorter", shop.now())


def test_a_hold_is_raised_once_and_stops_a_ticket(ask: Ask, saved: str) -> None:
    told = {"hold": "mould", "note": "musty"}
    first = ask("POST", f"/items/{saved}/holds", json=told, key="h")
    again = ask("POST", f"/items/{saved}/holds", json=told, key="h")
    assert (first.status_code, first.data) == (201, again.data)
    assert first.json == {"number": saved, "hold": "mould", "open": True}
    ticket = {"what": "ticketed", "amount_minor": 900}
    refused = ask("POST", f"/items/{saved}/events", json=ticket, key="t")
    assert refused.status_code == 422
    other = ask("POST", f"/items/{saved}/holds", json={**told, "note": "x"}, key="h")
    assert (other.status_code, other.json["type"]) == (422, "/api#key-taken")


def test_a_lead_s_word_clears_it_and_both_names_stand_beside_it(
    app: Flask, ask: Ask, saved: str
) -> None:
    ask("POST", f"/items/{saved}/holds", json={"hold": "mould"}, key="h")
    path = f"/items/{saved}/holds/mould/clear"
    for name in ("Sunniva", "Nobody"):
        answer = ask("POST", path, json={**WORD, "lead": name}, key=f"c-{name}")
        assert answer.status_code == 422 and "no lead of this name" in answer.json["detail"]
    cleared = ask("POST", path, json=WORD, key="c")
    assert (cleared.status_code, cleared.json["open"]) == (201, False)
    assert ask("POST", path, json=WORD, key="c").data == cleared.data
    assert ask("GET", f"/items/{saved}").json["holds"] == []
    records = app.extensions["resale"].records
    with Session(records) as session:
        (row,) = [one for one in last_rows(session, [saved]) if one.hold == "mould"]
    assert row.what == "cleared" and row.by.startswith("Leopold, by Till")


def test_only_a_device_that_may_clear_does(app: Flask, ask: Ask, saved: str) -> None:
    ask("POST", f"/items/{saved}/holds", json={"hold": "mould"}, key="h")
    headers = {
        "Authorization": f"Bearer {token_of(app, 'Scanner', 'read', 'save', 'sell')}",
        "Idempotency-Key": '"c"',
    }
    path = f"{V1}/items/{saved}/holds/mould/clear"
    answer = app.test_client().post(path, headers=headers, json=WORD)
    assert (answer.status_code, answer.json["type"]) == (403, "/api#not-allowed")


def test_what_was_sent_long_ago_is_let_go(
    app: Flask, ask: Ask, saved: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    records = app.extensions["resale"].records
    later = app.extensions["resale"].now() + timedelta(days=31)
    monkeypatch.setattr(Shop, "now", lambda _: later)
    assert ask("POST", f"/items/{saved}/holds", json={"hold": "mould"}, key="z").status_code == 201
    with Session(records) as session:
        assert session.scalar(select(func.count()).select_from(DeviceRequest)) == 1
