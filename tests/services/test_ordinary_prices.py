"""Anchors have a currency: in another money nothing is proposed before the shop says its prices."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime

import pytest
from api_shop import LOOKED_OVER, V1, token_of
from bench_forms import csrf_token, hidden_fields, words_of
from sent_files import items_from_bytes

from resale.config.settings import Settings
from resale.errors import ReadingError, ResaleError
from resale.garments.rulebook.edits import Edit, with_edits
from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.model.learn import rules_alone
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer
from resale.services.actor import Actor
from resale.services.items.entry import entry_of
from resale.services.items.rack_rows import HEADING, RackRows
from resale.services.on_hand.lines import rail_of
from resale.services.prices.state_ordinary import state_ordinary
from resale.services.rail.put_out import put_out
from resale.services.rail.rail_events import RailFormError
from resale.services.standing.desk import desk_of
from resale.services.standing.fresh import look_at
from resale.services.standing.unpriced import unpriced
from resale.web import create_app
from resale.web.core.shop import renew_shop

AT = datetime(2026, 6, 30, 12, tzinfo=UTC)


@pytest.fixture
def yen(tmp_path, empty_records):
    shutil.copy(empty_records, tmp_path)
    return create_app(tmp_path, currency="JPY", locale="ja_JP")


@pytest.fixture(params=["EUR", "JPY", "USD"])
def new(request, tmp_path, empty_records, monkeypatch):
    """A shop of which nobody said anything, in the money of the book and in others."""
    monkeypatch.delenv("RESALE_OPENING_PRICES_HOLD")
    shutil.copy(empty_records, tmp_path)
    return create_app(tmp_path, currency=request.param)


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
    token = csrf_token(client)
    form = {"csrf_token": token, "from-shoes": "2500", "to-shoes": "4,900"}
    said = client.post("/rules/ordinary", data=form, follow_redirects=True)
    assert "Taken for 1 kind." in words_of(said)
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
        state_ordinary(shop, lead, {"kite": ("1", "2")}, AT)
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


def test_no_way_in_proposes_a_ticket_before_anything_was_said(new):
    shop, client = new.extensions["resale"], new.test_client()
    assert looked(new).standing.ticket is None
    page = client.get("/bench/shoes").get_data(as_text=True)
    assert "No price yet" in page and "/rules/ordinary" in page
    token = token_of(new, "Till")
    sent = {"headers": {"Authorization": f"Bearer {token}"}}
    valued = client.post(f"{V1}/value", json=LOOKED_OVER, **sent).json
    assert valued["ticket_minor"] is None and valued["look_first"] == []
    file = items_from_bytes(b"item,kind\n1,jacket\n", "some.csv", shop.book)
    row = next(RackRows(desk_of(shop, AT.date())).rows(file, slice(0, 1)))
    said = dict(zip(HEADING, row, strict=True))
    assert said["ticket"] == ""
    saved = client.post(
        f"{V1}/items", json=LOOKED_OVER, headers={**sent["headers"], "Idempotency-Key": '"one"'}
    ).json
    line = rail_of(shop, shop.here().date()).lines[0]
    assert line.number == saved["number"] and line.standing == "look"
    with pytest.raises(RailFormError, match="nobody said yet what ordinary jackets bring"):
        put_out(shop, Actor("Ann", "lead"), [line], "key", AT)
    refused = client.post(
        f"{V1}/items/{saved['number']}/events",
        json={"what": "put_out"},
        headers={**sent["headers"], "Idempotency-Key": '"two"'},
    )
    assert refused.status_code in (409, 422) and "nobody said yet" in refused.get_data(as_text=True)


def test_each_kind_is_priced_as_soon_as_it_was_said_and_no_other(new):
    shop = new.extensions["resale"]
    state_ordinary(shop, Actor("Ann", "lead"), {"shoes": ("20", "45")}, AT)
    renew_shop(new)
    assert not looked(new).standing.unpriced
    shop = new.extensions["resale"]
    other = look_at(shop, entry_of(shop.book.kinds["shirt"], {}, {}), AT.date())
    assert other.standing.unpriced and other.standing.ticket is None


def test_an_amount_that_happens_to_be_the_books_own_was_still_said(new):
    shop = new.extensions["resale"]
    own = f"{shop.book.kinds['shoes'].text.anchor:g}"
    state_ordinary(shop, Actor("Ann", "lead"), {"shoes": (own, own)}, AT)
    renew_shop(new)
    assert not looked(new).standing.unpriced


def test_the_books_amounts_hold_for_whoever_says_so_in_its_own_money_alone():
    book = load_rule_book()
    valuer = Valuer(book, rules_alone(book), ShopTerms())
    for currency, asked in (("EUR", False), ("JPY", True)):
        settings = Settings(currency=currency, opening_prices_hold=True)
        assert bool(unpriced(valuer, settings, "shoes")) is asked


def test_what_was_valued_before_is_named_and_valued_again_in_one_press(new):
    client, token = new.test_client(), token_of(new, "Till")
    headers = {"Authorization": f"Bearer {token}", "Idempotency-Key": '"one"'}
    number = client.post(f"{V1}/items", json=LOOKED_OVER, headers=headers).json["number"]
    assert "Value them again" not in words_of(client.get("/rules/ordinary"))
    shop = new.extensions["resale"]
    state_ordinary(shop, Actor("Ann", "lead"), {"jacket": ("400", "900")}, AT)
    renew_shop(new)
    page = words_of(client.get("/rules/ordinary"))
    assert "valued otherwise now: 1. Value them again" in page
    form = {**hidden_fields(client, "/rail/reprice"), "pick": number}
    assert client.post("/rail/reprice", data=form).status_code == 303
    assert "Value them again" not in words_of(client.get("/rules/ordinary"))
