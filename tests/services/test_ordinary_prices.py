"""Anchors have a currency: in another money nothing is proposed before the shop says its prices."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime

import pytest
from bench_forms import hidden_fields, words_of

from resale.errors import ReadingError, ResaleError
from resale.garments.rulebook.edits import Edit, with_edits
from resale.garments.rulebook.rule_book import load_rule_book
from resale.services.actor import Actor
from resale.services.items.entry import entry_of
from resale.services.prices.state_ordinary import state_ordinary
from resale.services.standing.fresh import look_at
from resale.web import create_app

AT = datetime(2026, 6, 30, 12, tzinfo=UTC)


@pytest.fixture
def yen(tmp_path, empty_records):
    shutil.copy(empty_records, tmp_path)
    return create_app(tmp_path, currency="JPY", locale="ja_JP")


def looked(app):
    shop = app.extensions["resale"]
    return look_at(shop, entry_of(shop.book.kinds["shoes"], {}, {}), AT.date())


def test_shoes_for_22_yen_are_not_proposed_and_the_page_says_where_to_go(yen):
    one = looked(yen)
    assert one.standing.unpriced and one.standing.ticket is None
    page = yen.test_client().get("/bench/shoes").get_data(as_text=True)
    assert "No price yet" in page and "/rules/ordinary" in page
    assert "what ordinary shoes bring in JPY" in page


def test_once_it_is_said_what_ordinary_things_bring_prices_follow(yen):
    client = yen.test_client()
    token = hidden_fields(client, "/rules/ordinary")["csrf_token"]
    form = {"csrf_token": token, "from-shoes": "2500", "to-shoes": "4,900"}
    said = client.post("/rules/ordinary", data=form, follow_redirects=True)
    assert "Taken for 1 kinds" in words_of(said)
    one = looked(yen)
    # By hand: the square root of 2,500 times 4,900.
    assert yen.extensions["resale"].book.kinds["shoes"].text.anchor == 3500
    assert not one.standing.unpriced and 2000 < one.standing.suggested < 6000
    assert one.valued.anchor == 3500
    assert "3,500" in words_of(client.get("/rules")).replace("￥", "")


def test_other_kinds_wait_on_and_wrong_amounts_are_said(yen):
    shop, lead = yen.extensions["resale"], Actor("Ann", "lead")
    with pytest.raises(ReadingError, match="is not an amount"):
        state_ordinary(shop, lead, {"shirt": ("few", "many")}, AT)
    with pytest.raises(ResaleError):
        state_ordinary(shop, lead, {"hat": ("1", "2")}, AT)
    with pytest.raises(ReadingError):
        state_ordinary(shop, lead, {}, AT)


def test_a_changed_anchor_and_its_taking_back_is_the_book_itself():
    book = load_rule_book()
    first = book.kinds["shirt"].text.anchor

    def set_to(value: float) -> Edit:
        return Edit(kind="shirt", signal="anchor", option="anchor", field="anchor", value=value)

    changed = with_edits(book, [set_to(99.0)])
    assert changed.kinds["shirt"].text.anchor == 99 and changed.fingerprint != book.fingerprint
    assert with_edits(book, [set_to(99.0), set_to(first)]).fingerprint == book.fingerprint
