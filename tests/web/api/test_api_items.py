"""Saving once however often it is sent, the list page by page, and what happens to items.

The key for sending again follows draft-ietf-httpapi-idempotency-key-header-07, section 2.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from api_shop import JACKET, V1, Ask, token_of
from flask import Flask

from resale.storage.items.store import items_count


def test_saving_twice_saves_once_and_answers_the_same(app: Flask, ask: Ask) -> None:
    before = items_count(app.extensions["resale"].records)
    first = ask("POST", "/items", json=JACKET, key="one")
    again = ask("POST", "/items", json=JACKET, key="one")
    in_body = ask("POST", "/items", json={**JACKET, "key": "one"})
    assert first.status_code == again.status_code == in_body.status_code == 201
    assert first.data == again.data == in_body.data
    assert first.headers["Location"] == f"{V1}/items/{first.json['number']}"
    assert items_count(app.extensions["resale"].records) == before + 1


def test_the_same_thing_under_another_key_is_another_item(ask: Ask) -> None:
    numbers = {ask("POST", "/items", json=JACKET, key=key).json["number"] for key in "abc"}
    assert len(numbers) == 3


def test_a_key_that_came_with_something_else_is_refused(ask: Ask) -> None:
    """The draft, section 2.7: reuse with another payload is answered with 422, no key with 400."""
    ask("POST", "/items", json=JACKET, key="one")
    answer = ask("POST", "/items", json={**JACKET, "size": "52"}, key="one")
    assert (answer.status_code, answer.json["type"]) == (422, "/api#key-taken")
    answer = ask("POST", "/items", json=JACKET)
    assert (answer.status_code, answer.json["type"]) == (400, "/api#no-key")


@pytest.mark.parametrize("header", ['"', '""', '"a\\"b"', "a b", '"é"', "x" * 65, '"a", "b"'])
def test_a_key_that_is_none_is_refused(ask: Ask, header: str) -> None:
    """RFC 9651, section 3.3.3, says what a string is; we take no quotes inside and 64 at most."""
    headers = {"Idempotency-Key": header.encode().decode("latin-1")}
    assert ask("POST", "/items", json=JACKET, headers=headers).status_code == 400


def test_a_key_without_quotes_is_the_same_key(ask: Ask) -> None:
    first = ask("POST", "/items", json=JACKET, key="one")
    bare = ask("POST", "/items", json=JACKET, headers={"Idempotency-Key": "one"})
    assert first.data == bare.data


def test_keys_of_two_devices_are_two_keys(app: Flask, ask: Ask) -> None:
    mine = ask("POST", "/items", json=JACKET, key="one").json
    headers = {"Authorization": f"Bearer {token_of(app, 'Desk')}"}
    theirs = ask("POST", "/items", json=JACKET, key="one", headers=headers).json
    assert mine["number"] != theirs["number"]


def test_a_key_may_come_again_once_its_fault_is_mended(ask: Ask) -> None:
    wrong = {**JACKET, "readings": {"cuff_buttons": "wurking"}}
    assert ask("POST", "/items", json=wrong, key="one").status_code == 422
    assert ask("POST", "/items", json=JACKET, key="one").status_code == 201


def test_sent_by_many_at_once_it_is_saved_once(app: Flask, ask: Ask) -> None:
    before = items_count(app.extensions["resale"].records)
    with ThreadPoolExecutor(6) as pool:
        sent = [pool.submit(ask, "POST", "/items", json=JACKET, key="one") for _ in range(12)]
    answers = {one.result().data for one in sent}
    assert len(answers) == 1
    assert items_count(app.extensions["resale"].records) == before + 1


def test_an_item_can_be_valued_again_and_keeps_its_number(ask: Ask, saved: str) -> None:
    better = {**JACKET, "number": saved, "readings": {"cuff_buttons": "working"}}
    answer = ask("POST", "/items", json=better, key="again")
    assert answer.json["number"] == saved
    item = ask("GET", f"/items/{saved}").json
    assert item["valuation"]["estimate_minor"] == answer.json["estimate_minor"]
    assert [one["what"] for one in item["written"]] == ["taken_in", "valued", "valued"]
    other = ask("POST", "/items", json={"kind": "bag", "number": saved}, key="bag")
    assert other.status_code == 422 and other.json["errors"][0]["pointer"] == "#/kind"
    assert (
        ask("POST", "/items", json={"kind": "bag", "number": "Q-99999"}, key="no").status_code
        == 404
    )


def test_pages_hold_every_item_once_whatever_is_saved_meanwhile(ask: Ask) -> None:
    bags = [ask("POST", "/items", json={"kind": "bag"}, key=f"bag{n}").json for n in range(7)]
    wanted = [one["number"] for one in reversed(bags)]
    seen, cursor = [], ""
    while cursor is not None:
        page = ask("GET", f"/items?limit=3{cursor and f'&cursor={cursor}'}").json
        seen += [one["number"] for one in page["items"]]
        cursor = page["next_cursor"]
        ask("POST", "/items", json={"kind": "shirt"}, key=f"meanwhile{len(seen)}")
    assert seen[:7] == wanted
    assert len(set(seen)) == len(seen) and seen[-1] == "Q-00001"


@pytest.mark.parametrize(
    "query",
    ["cursor=abc", "cursor=LTE=", "limit=0", "limit=201", "limit=x", "page=2", "limit=1&limit=2"],
)
def test_an_address_that_cannot_be_is_refused(ask: Ask, query: str) -> None:
    assert ask("GET", f"/items?{query}").status_code in (400, 422)


def gained(before: dict, after: dict) -> dict:
    """What a day gained between two looks, in money."""
    return {
        name: after[name] - before[name]
        for name in before
        if name.endswith("_minor") and name != "till_minor"
    }


def test_a_sale_is_one_call_at_the_price_on_the_ticket(ask: Ask, saved: str) -> None:
    ticket = ask("GET", f"/items/{saved}").json["ticket_minor"]
    day = ask("GET", "/days/today").json
    sold = ask("POST", f"/items/{saved}/events", json={"what": "sold"}, key="sale")
    assert sold.status_code == 201
    assert (sold.json["amount_minor"], sold.json["where"]) == (ticket, "sold")
    again = ask("POST", f"/items/{saved}/events", json={"what": "sold"}, key="sale")
    assert again.data == sold.data
    more = gained(day, ask("GET", "/days/today").json)
    assert (more["sold_minor"], more["net_minor"]) == (ticket, ticket)
    twice = ask("POST", f"/items/{saved}/events", json={"what": "sold"}, key="another")
    assert twice.status_code == 422
    assert twice.json["remedy"].startswith("Record its return first")


def test_the_life_of_an_item_goes_round(ask: Ask, saved: str) -> None:
    steps = [
        ("put_out", {}, "on_rail"),
        ("ticketed", {"amount_minor": 4000}, "on_rail"),
        ("marked_down", {"amount_minor": 3000}, "on_rail"),
        ("sold", {}, "sold"),
        ("returned", {}, "back_room"),
        ("put_out", {"amount_minor": 2900}, "on_rail"),
        ("withdrawn", {}, "back_room"),
        ("passed_on", {"amount_minor": 50}, "gone"),
    ]
    day = ask("GET", "/days/today").json
    for place, (what, more, where) in enumerate(steps):
        sent = {"what": what, "note": "invented", **more}
        answer = ask("POST", f"/items/{saved}/events", json=sent, key=f"step{place}")
        assert (answer.status_code, answer.json.get("where")) == (201, where), answer.text
    item = ask("GET", f"/items/{saved[2:].lstrip('0')}").json
    assert item["where"] == "gone"
    assert next(one["by"] for one in item["written"] if one["what"] == "sold").startswith("Till")
    more = gained(day, ask("GET", "/days/today").json)
    assert (more["sold_minor"], more["returned_minor"]) == (3000, 3000)
    assert (more["passed_on_minor"], more["net_minor"]) == (50, 50)


def test_what_is_held_goes_neither_out_nor_over_the_till(ask: Ask) -> None:
    mouldy = {"kind": "jacket", "readings": {"mould": "musty"}}
    saved = ask("POST", "/items", json=mouldy, key="mouldy").json
    assert saved["holds"] == ["mould"]
    for what in ("put_out", "ticketed", "sold", "passed_on"):
        sent = {"what": what, **({"amount_minor": 900} if what == "ticketed" else {})}
        answer = ask("POST", f"/items/{saved['number']}/events", json=sent, key=what)
        assert answer.status_code == 422
        assert "is held" in answer.json["detail"] and "lead" in answer.json["remedy"]
    assert ask("GET", f"/items/{saved['number']}").json["holds"][0]["do_now"]


@pytest.mark.parametrize(
    "sent",
    [
        {"what": "sold", "amount_minor": 24.5},
        {"what": "sold", "amount_minor": "2450"},
        {"what": "sold", "amount_minor": 0},
        {"what": "sold", "amount_minor": 2_000_000_001},
        {"what": "sold", "amount_minor": True},
        {"what": "valued"},
        {"what": "corrected"},
        {"what": "sold", "day": "2026-02-30"},
        {"what": "sold", "day": "31.3.2026"},
        {"what": "sold", "day": "1969-12-31"},
        {"what": "sold", "day": "9999-12-31"},
        {"what": "withdrawn", "amount_minor": 100},
        {"what": "sold", "note": "a\0"},
        {"what": "sold", "by": "nobody"},
        {"what": "marked_down", "amount_minor": 100},
    ],
)
def test_what_cannot_have_happened_is_refused(ask: Ask, saved: str, sent: dict) -> None:
    answer = ask("POST", f"/items/{saved}/events", json=sent, key="k")
    assert answer.status_code == 422
    assert ask("GET", f"/items/{saved}").json["where"] == "back_room"


def test_a_day_says_what_the_day_book_says(app: Flask, ask: Ask, saved: str) -> None:
    today = app.extensions["resale"].here().date()
    assert ask("GET", f"/days/{today}").json == ask("GET", "/days/today").json
    before = ask("GET", f"/days/{today - timedelta(1)}").json
    assert (before["counts"], before["net_minor"]) == ({}, 0)
    assert ask("GET", "/days/2026-13-01").status_code == 404


@pytest.mark.parametrize("number", ["Q-99999", "nothing", "%00", "%ED%A0%80", "a" * 600, "1%2F2"])
def test_an_item_that_is_not_there_is_not_found(ask: Ask, number: str) -> None:
    assert ask("GET", f"/items/{number}").status_code in (404, 422)
    answer = ask("POST", f"/items/{number}/events", json={"what": "sold"}, key="k")
    assert answer.status_code in (404, 422)
