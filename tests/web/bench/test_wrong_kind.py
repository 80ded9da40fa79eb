"""A thing that was saved as the wrong kind: corrected under its own number, never by a slip."""

from __future__ import annotations

import re

import pytest
from bench_forms import hidden_fields, new_form
from flask import Flask
from rail_shop import RailShop

from resale.storage.items.replay import replay
from resale.storage.items.store import item_numbered
from resale.storage.people.audit_log import all_audit_entries

GOOD = {"label_standing": "premium"}


@pytest.fixture
def rail(app: Flask, monkeypatch: pytest.MonkeyPatch) -> RailShop:
    return RailShop(app, monkeypatch)


def test_a_wrong_kind_is_corrected_and_keeps_number_ticket_and_what_both_know(
    rail: RailShop,
) -> None:
    number = rail.save("jacket", "52", **GOOD)
    rail.post(f"/ledger/item/{number}", what="put_out", amount="40")
    page = rail.client.get(f"/items/{number}").text
    link = re.search(r'href="(/bench/shirt\?[^"]*instead=1[^"]*)"', page)
    assert link is not None and "Saved as the wrong kind?" in page
    fields = hidden_fields(rail.client, link[1].replace("&amp;", "&"))
    assert (fields["number"], fields["changes_kind"]) == (number, "jacket")
    bench = rail.client.get(link[1].replace("&amp;", "&")).text
    assert re.search(r'name="s-label_standing" value="premium"[^>]*checked', bench)
    data = {**fields, "size": "M", "s-label_standing": "premium"}
    assert rail.client.post("/bench/shirt/save", data=data).status_code == 303
    item = item_numbered(rail.shop.records, number)
    assert (item.kind, item.newest.valued.kind, len(item.valuations)) == ("shirt", "shirt", 2)
    state = rail.life(number).state
    assert (state.where, state.ticket) == ("on_rail", 4000)
    last = [one for one in all_audit_entries(rail.shop.records) if one.what == "corrected a kind"]
    assert [(one.about, one.data) for one in last] == [
        (number, {"before": "jacket", "after": "shirt"})
    ]
    # What it was valued at as a jacket is still to be worked out again.
    shop = rail.shop
    assert replay(shop.records, shop.settings, shop.book, number, back=1).equal
    for path in ("/rail?state=all", f"/rail/{number}", f"/ledger/item/{number}", "/items"):
        assert rail.client.get(path).status_code == 200


def test_another_kind_s_bench_does_not_change_a_kind_by_a_slip(rail: RailShop) -> None:
    number = rail.save("jacket", "52", **GOOD)
    fields = {**new_form(rail.client), "number": number}
    answer = rail.client.post("/bench/shirt/save", data=fields)
    assert answer.status_code == 422 and "it was saved as jacket" in answer.text
    assert item_numbered(rail.shop.records, number).kind == "jacket"
