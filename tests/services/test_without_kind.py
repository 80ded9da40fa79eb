"""A thing that no kind fits: in by any way, out with a ticket, sold, and given its kind later."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from api_shop import V1, token_of
from bench_forms import hidden_fields, new_form, words_of
from flask import Flask
from looked_over import answers, looked_over
from rail_shop import RailShop

from resale.garments.rulebook.unsorted import UNSORTED
from resale.services.actor import Actor
from resale.services.items.bring_stock import bring_stock, try_stock
from resale.services.on_hand.lines import rail_of
from resale.services.standing.saved import saved_standings
from resale.storage.imports.cells.past_cells import Told
from resale.storage.items.kinds_missing import kinds_missing
from resale.storage.items.replay import replay
from resale.storage.items.store import item_numbered
from resale.storage.ledger.holds import open_holds
from resale.web import create_app

LEAD = Actor("Leopold", "lead")
UMBRELLA = {"what": "Umbrella", "hand-price": "12.50", "hand-why": "the last one went for that"}


@pytest.fixture
def rail(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> RailShop:
    return RailShop(create_app(tmp_path, RATELIMIT_ENABLED=False), monkeypatch)


def by_bench(rail: RailShop, looks: Mapping[str, str], **said: str) -> str:
    fields = new_form(rail.client)
    answer = rail.client.post(f"/bench/{UNSORTED}/save", data={**fields, **looks, **said})
    assert answer.status_code == 303, words_of(answer)[:600]
    return answer.location.split("saved=")[1]


def by_device(app: Flask, looks: bool, **said: Any) -> dict[str, Any]:
    signs, looked = answers(UNSORTED, {}) if looks else ({}, {})
    client, token = app.test_client(), token_of(app, "Tablet")
    sent = {"kind": "Something else", "readings": signs, "looks": looked, "key": "one", **said}
    answer = client.post(f"{V1}/items", json=sent, headers={"Authorization": f"Bearer {token}"})
    found: dict[str, Any] = answer.json
    return found


def by_file(rail: RailShop, cells: Mapping[str, str], words: Mapping[Any, str]) -> Any:
    text = f"{','.join(cells)}\n{','.join(cells.values())}\n"
    told = Told({}, dict(words))
    return try_stock(rail.shop, text.encode(), "stock.csv", told, rail.day)


def test_every_way_in_keeps_the_same_and_says_the_same(rail: RailShop) -> None:
    looks = looked_over(UNSORTED, {})
    number = by_bench(rail, looks, **UMBRELLA)
    sent = {"what": "Umbrella", "price_minor": 1250, "price_reason": UMBRELLA["hand-why"]}
    device = by_device(rail.app, looks=True, **sent)
    signs, looked = answers(UNSORTED, {})
    cells = {"kind": "brolly", "ticket": "12.50", **signs, **looked}
    trial = by_file(rail, cells, {("kind", "brolly"): UNSORTED})
    assert trial.problems == () and bring_stock(rail.shop, LEAD, trial, rail.shop.here()) == 1
    file = rail_of(rail.shop, rail.day).lines[-1].number
    numbers = [number, device["number"], file]
    standings = saved_standings(rail.shop, numbers, rail.day)
    lines = rail_of(rail.shop, rail.day).numbered()
    for one in numbers:
        standing, line = standings[one], lines[one]
        assert (standing.price, standing.ticket, standing.tier) == (1250, 1250, "")
        assert (line.price, line.kind_name in ("Umbrella", "Brolly")) == (1250, True)
        saved = item_numbered(rail.shop.records, one).newest
        assert (saved.valued.ticket, saved.valued.contributions) == (1250, ())
        assert replay(rail.shop.records, rail.shop.settings, rail.shop.book, one).equal
    hand = standings[number].hand
    assert hand is not None and hand.reason == UMBRELLA["hand-why"]
    assert [(one.what, one.count, one.price) for one in kinds_missing(rail.shop.records)] == [
        ("Umbrella", 2, 1250),
        ("brolly", 1, 1250),
    ]


def test_what_lacks_something_is_refused_with_a_sentence_on_every_way(rail: RailShop) -> None:
    fields = new_form(rail.client)
    for said, words in (
        ({}, "write it in a word or two"),
        ({"what": "Vase", "hand-price": "9"}, "needs its reason"),
        ({"what": "Vase", "hand-price": "nine", "hand-why": "so"}, "not an amount"),
    ):
        answer = rail.client.post(f"/bench/{UNSORTED}/save", data={**fields, **said})
        assert answer.status_code == 422 and words in words_of(answer)
    told = by_device(rail.app, looks=False, what="Vase", price_minor=900)
    assert told["errors"][0]["pointer"] == "#/price_reason"
    assert "errors" in by_device(rail.app, looks=False, kind="jacket", what="Vase")
    trial = by_file(rail, {"kind": "something else", "ticket": "9"}, {})
    assert "says what it is" in trial.problems[0].sentence and not trial.rows
    assert not kinds_missing(rail.shop.records)


def test_nothing_goes_out_unasked_unpriced_or_held(rail: RailShop) -> None:
    """The looks, the words and the signs that hold any thing hold a thing without a kind."""
    unasked = by_bench(rail, {}, **UMBRELLA)
    unpriced = by_bench(rail, looked_over(UNSORTED, {}), what="Umbrella")
    looks = looked_over(UNSORTED, {})
    words = by_bench(rail, looks, **{**UMBRELLA, "what": "Ivory paper knife"})
    sign = by_bench(rail, {**looks, "s-pests": "live"}, **UMBRELLA)
    found = by_bench(rail, {**looks, "k-look_pockets": "sharp"}, **UMBRELLA)
    device = by_device(rail.app, looks=True, what="Ivory paper knife")
    assert set(device["holds"]) == {one.rule.id for one in holds_of(rail, words)}
    lines = rail_of(rail.shop, rail.day).numbered()
    assert [lines[one].standing for one in (unasked, unpriced)] == ["look", "look"]
    assert [lines[one].standing for one in (words, sign, found)] == ["held"] * 3
    for number in (unasked, unpriced, words, sign, found):
        assert rail.post("/rail/out", pick=number).status_code == 422
        assert rail.client.get(f"/tickets/print?pick={number}").status_code in (409, 422)
        assert rail.post(f"/ledger/item/{number}", what="sold").status_code in (409, 422)
        assert rail.life(number).state.where == "back_room"
    child = by_bench(rail, {**looks, "k-look_child": "yes"}, **UMBRELLA)
    assert "look_cords" in item_numbered(rail.shop.records, child).newest.inputs["unlooked"]


def holds_of(rail: RailShop, number: str) -> tuple[Any, ...]:
    return open_holds(rail.shop.records, [number])[number]


def test_it_hangs_is_marked_by_habit_and_is_sold_and_owed(rail: RailShop) -> None:
    number = by_bench(rail, looked_over(UNSORTED, {}), **UMBRELLA)
    assert rail.post("/rail/out", pick=number).status_code == 303
    assert (rail.life(number).state.where, rail.life(number).state.ticket) == ("on_rail", 1250)
    pages = ["/", "/items", "/rail?state=all", "/rail/choice", "/rail/reprice"]
    own = ("/rail/{}", "/items/{}", "/items/{}/again", "/ledger/item/{}", "/tickets?pick={}")
    for path in (*pages, *(one.format(number) for one in own)):
        assert rail.client.get(path, follow_redirects=True).status_code == 200, path
    assert rail.client.get(f"/tickets/print?pick={number}").mimetype == "application/pdf"
    assert "Set by hand" in words_of(rail.client.get(f"/items/{number}"))
    rail.later(rail.shop.settings.period_days)
    line = rail_of(rail.shop, rail.day).numbered()[number]
    mark = rail.shop.settings.habit[1]
    assert line.due == "mark" and line.due_price == pytest.approx(1250 * (1 - mark), abs=50)
    assert rail.post("/rail/marks", pick=number).status_code == 303
    assert rail.life(number).state.ticket == line.due_price
    assert rail.post(f"/ledger/item/{number}", what="sold").status_code == 303
    assert rail.life(number).state.price == line.due_price


def test_it_gets_its_kind_later_and_keeps_number_ticket_and_words(rail: RailShop) -> None:
    kilt = {**UMBRELLA, "what": "Kilt", "s-stain": "hidden_2"}
    number = by_bench(rail, looked_over(UNSORTED, {}), **kilt)
    rail.post("/rail/out", pick=number)
    page = rail.client.get(f"/items/{number}").text
    link = re.search(r'href="(/bench/skirt\?[^"]*instead=1[^"]*)"', page)
    assert link is not None and "Give it its kind" in page
    address = link[1].replace("&amp;", "&")
    bench = rail.client.get(address).text
    assert re.search(r'name="s-stain" value="hidden_2"[^>]*checked', bench)
    assert re.search(r'name="note"[^>]*value="Kilt"', bench)
    fields = {**hidden_fields(rail.client, address), "note": "Kilt", "s-stain": "hidden_2"}
    assert rail.client.post("/bench/skirt/save", data=fields).status_code == 303
    item = item_numbered(rail.shop.records, number)
    assert (item.kind, item.newest.valued.by_hand, len(item.valuations)) == ("skirt", False, 2)
    state = rail.life(number).state
    assert (state.where, state.ticket) == ("on_rail", 1250)
    assert not kinds_missing(rail.shop.records)
