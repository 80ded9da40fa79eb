"""Another thing like one that was read, and a pile of like things from one reading."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

import pytest
from bench_forms import Send, hidden_fields, words_of
from flask import Flask
from flask.testing import FlaskClient
from looked_over import looked_over
from werkzeug.test import TestResponse

from resale.services.items.entry import Entry, entry_from_inputs
from resale.services.shop import Shop
from resale.services.standing.fresh import look_at
from resale.storage.items.item_pages import items_page
from resale.storage.items.store import SavedItem, item_numbered
from resale.storage.ledger.ledger import item_life

READ = {
    "s__label_standing": "middle",
    "s__front_canvas": "full_canvas",
    "s__stain": "hidden_2",
    "s__size_place": "middle",
    "label": "Harrowmere",
    "size": "40",
    "note": "blue",
}
OVER = {
    name.replace("-", "__", 1): answer
    for name, answer in looked_over("jacket", {"label_standing": "middle"}).items()
}


@pytest.fixture
def shop(app: Flask) -> Shop:
    shop: Shop = app.extensions["resale"]
    return shop


def item_of(shop: Shop, answer: TestResponse) -> SavedItem:
    found = re.search(r"saved=(Q-\d+)", answer.headers["Location"])
    assert found
    return item_numbered(shop.records, found[1])


def all_items(shop: Shop) -> list[SavedItem]:
    lines = items_page(shop.records, per_page=200).lines
    return [item_numbered(shop.records, line.number) for line in lines]


def entry_from_inputs_of(shop: Shop, number: str) -> Entry:
    item = item_numbered(shop.records, number)
    return entry_from_inputs(shop.kind(item.kind), item.newest.inputs, "")


def valued_event(shop: Shop, number: str) -> Mapping[str, Any]:
    (event,) = (one for one in item_life(shop.records, number).written if one.what == "valued")
    return event.data


def test_like_another_takes_the_make_and_asks_the_rest_again(
    shop: Shop, send: Send, client: FlaskClient
) -> None:
    first = item_of(shop, send("save", **READ, **OVER))
    path = f"/bench/jacket?like={first.number}"
    page = client.get(path)
    assert f"like {first.number}" in words_of(page)
    for name, value in (("front_canvas", "full_canvas"), ("label_standing", "middle")):
        assert f'name="s-{name}" value="{value}" checked' in page.text
    for open_again in ("stain", "odour", "pests", "moth"):
        assert f'name="s-{open_again}" value="" checked' in page.text
    assert 'name="k-look_pockets" value="" checked' in page.text
    assert 'id="label" name="label" class="typed" maxlength="80" value="Harrowmere"' in page.text
    assert 'value="40"' not in page.text and 'value="blue"' not in page.text
    hidden = hidden_fields(client, path)
    assert hidden["number"] == "" and hidden["key"] != first.client_key
    second = item_of(shop, client.post("/bench/jacket/save", data=hidden))
    assert second.number != first.number
    assert second.newest.inputs["like"] == first.number
    assert f"Read like {first.number}" in words_of(client.get(f"/items/{second.number}"))


def test_a_pile_is_saved_at_once_each_with_its_number(shop: Shop, send: Send) -> None:
    answer = send("save", pile="5", **{"pile__each": "1"}, **READ, **OVER)
    items = all_items(shop)
    assert len(items) == 5 and len({one.client_key for one in items}) == 5
    assert {one.newest.valued.estimate for one in items} == {
        item_of(shop, answer).newest.valued.estimate
    }
    assert all(not one.newest.inputs["unlooked"] for one in items)
    # Sent twice saves once.
    send("save", pile="5", **{"pile__each": "1"}, **READ, **OVER)
    assert len(all_items(shop)) == 5


def test_a_pile_is_decided_as_the_bench_showed_it(shop: Shop, send: Send) -> None:
    """Ticket, route and reason are stored with each thing, and stand whatever sells meanwhile."""
    number = item_of(shop, send("save", pile="3", **READ, **OVER)).number
    shown = look_at(shop, entry_from_inputs_of(shop, number), shop.here().date())
    stored = [valued_event(shop, item.number)["decided"] for item in all_items(shop)]
    assert stored == [asdict(shown.decided)] * 3


def test_without_the_word_for_each_the_others_wait_for_their_looks(shop: Shop, send: Send) -> None:
    first = item_of(shop, send("save", pile="3", **READ, **OVER))
    others = [one for one in all_items(shop) if one.number != first.number]
    assert not first.newest.inputs["unlooked"]
    assert len(others) == 2
    for one in others:
        assert {"look_pockets", "pests", "mould"} <= set(one.newest.inputs["unlooked"])
        assert one.newest.inputs["choices"]["front_canvas"] == "full_canvas"


@pytest.mark.parametrize("typed", ["0", "51", "many", "-2", "2.5", "²"])
def test_a_pile_that_is_none_saves_nothing_and_says_so(shop: Shop, send: Send, typed: str) -> None:
    answer = send("save", pile=typed, **READ)
    assert answer.status_code == 422
    assert "a number from 1 to 50" in words_of(answer)
    assert "full_canvas" in answer.text and not all_items(shop)


def test_a_saved_item_is_no_pile(shop: Shop, send: Send, client: FlaskClient) -> None:
    first = item_of(shop, send("save", **READ))
    form = hidden_fields(client, f"/bench/jacket?item={first.number}")
    answer = client.post("/bench/jacket/save", data={**form, "pile": "3"})
    assert answer.status_code == 422 and len(all_items(shop)) == 1
