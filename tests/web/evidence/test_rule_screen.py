"""The Rule book: looked at, changed with eyes open, and changed back."""

from __future__ import annotations

import re

import pytest
from bench_forms import hidden_fields, new_form, words_of
from flask import Flask
from flask.testing import FlaskClient
from looked_over import looked_over
from werkzeug.test import TestResponse

from resale.storage.models.rule_changes import changes_of
from resale.web import create_app
from resale.web.core.jobs import EXTENSION as WORKS

CUFFS = "/rules/jacket/cuff_buttons"


def settled(app: Flask, client: FlaskClient, answer: TestResponse) -> TestResponse:
    app.extensions[WORKS].wait()
    assert answer.status_code == 303
    return client.get(answer.location, follow_redirects=True)


def form_of(client: FlaskClient, path: str) -> dict[str, str]:
    text = client.get(path).text
    found = re.findall(r'<input name="([^"]+)"[^>]* value="([^"]*)"', text)
    return {**hidden_fields(client, path), **dict(found)}


def considered(app: Flask, client: FlaskClient, path: str = CUFFS, **more: str) -> TestResponse:
    data = {**form_of(client, path), **{key.replace("__", "-"): v for key, v in more.items()}}
    return settled(app, client, client.post(path, data=data))


def saved(app: Flask, client: FlaskClient, page: TestResponse) -> TestResponse:
    told = {"why": "Buyers ask for them."}
    data = {**hidden_fields(client, page.request.path), **told}
    return settled(app, client, client.post(page.request.path, data=data))


def test_every_kind_and_every_sign_can_be_read(client: FlaskClient, app: Flask) -> None:
    page = client.get("/rules").text
    for kind in app.extensions["resale"].book.kinds.values():
        assert f'href="/rules/{kind.id}"' in page
        text = client.get(f"/rules/{kind.id}").text
        assert all(f"/rules/{kind.id}/{signal.id}" in text for signal in kind.signals)
    assert client.get(CUFFS).status_code == 200
    assert client.get("/rules/jacket/wings").status_code == 404
    assert client.get("/rules/spoon").status_code == 404


def test_a_change_tells_what_it_would_do_before_it_is_saved(
    app: Flask, client: FlaskClient
) -> None:
    fields = new_form(client)
    client.post("/bench/jacket/save", data={**fields, "s-cuff_buttons": "working"})
    shop = app.extensions["resale"]
    page = considered(app, client, effect__working="1,6")
    said = words_of(page)
    assert "Items on hand 1" in said and "Another ticket 1" in said
    assert "working: effect × 1.12 → × 1.6" in said
    assert "Prices follow the rules alone" in said
    assert not changes_of(shop.records)
    assert app.extensions["resale"] is shop


def test_a_saved_change_says_who_and_why_holds_at_once_and_after_a_restart(
    app: Flask, client: FlaskClient
) -> None:
    page = saved(app, client, considered(app, client, effect__working="1.6"))
    said = words_of(page)
    assert "Ottoline" in said and "Buyers ask for them." in said and "× 1.6" in said
    shop = app.extensions["resale"]
    option = shop.book.kinds["jacket"].by_id["cuff_buttons"].option("working")
    assert option.effect == 1.6 and shop.fallback is None
    again = create_app(shop.settings.data_folder).extensions["resale"]
    assert again.book.fingerprint == shop.book.fingerprint


def test_taking_back_is_a_change_of_its_own_and_gives_the_old_book_again(
    app: Flask, client: FlaskClient
) -> None:
    before = app.extensions["resale"].book.fingerprint
    saved(app, client, considered(app, client, effect__working="1.6"))
    token = hidden_fields(client, CUFFS)
    page = settled(app, client, client.post("/rules/back/1", data=token))
    assert "effect × 1.6 → × 1.12" in words_of(page)
    saved(app, client, page)
    shop = app.extensions["resale"]
    assert len(changes_of(shop.records)) == 2
    assert shop.book.fingerprint == before
    assert client.post("/rules/back/9", data=token).status_code == 404


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({}, "nothing was changed"),
        ({"effect__working": "much"}, "is not a number"),
    ],
)
def test_what_is_no_change_is_said(
    client: FlaskClient, more: dict[str, str], sentence: str
) -> None:
    data = {**form_of(client, CUFFS), **{key.replace("__", "-"): v for key, v in more.items()}}
    answer = client.post(CUFFS, data=data)
    assert answer.status_code == 422
    assert sentence in words_of(answer)


def test_a_change_that_the_book_cannot_mean_is_refused_in_a_sentence(
    app: Flask, client: FlaskClient
) -> None:
    path = "/rules/jacket/stitch_density"
    data = form_of(client, path)
    first = next(name for name in data if name.startswith("effect-"))
    client.post(path, data={**data, first: "9"})
    app.extensions[WORKS].wait()
    jobs = app.extensions[WORKS]._jobs.values()
    assert any("but lowers the price" in job.trouble for job in jobs)


def test_a_change_without_a_reason_or_drawn_up_before_another_is_not_saved(
    app: Flask, client: FlaskClient
) -> None:
    first = considered(app, client, effect__working="1.6").request.path
    second = considered(app, client, effect__working="1.4")
    token = hidden_fields(client, first)
    answer = client.post(first, data={**token, "why": ""})
    assert answer.status_code == 422 and "write why" in words_of(answer)
    saved(app, client, second)
    answer = client.post(first, data={**token, "why": "x"})
    assert answer.status_code == 409 and "changed the rule book since" in words_of(answer)
    assert client.get("/rules/change/0").status_code == 422


def test_with_learned_prices_a_change_waits_for_the_sales_to_be_read_again(
    app: Flask, client: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    token = new_form(client)
    for place in range(12):
        key = {**token, "key": f"00000000-0000-0000-0000-{place:012d}"}
        seen = looked_over("jacket", {"cuff_buttons": "working"})
        client.post("/bench/jacket/save", data={**key, **seen})
        path = f"/ledger/item/Q-{place + 1:05d}"
        form = hidden_fields(client, path)
        if place:
            client.post(path, data={**form, "what": "sold", "amount": str(40 + place)})
    settled(app, client, client.post("/ledger/prices/learn", data=token))
    learned = app.extensions["resale"]
    page = considered(app, client, effect__working="1.6")
    assert "Both books learned from the same 11 sales" in words_of(page)
    with monkeypatch.context() as patch:
        patch.setattr("resale.web.evidence.models.learn_prices", lambda *_: None)
        saved(app, client, page)
    shop = app.extensions["resale"]
    assert shop.book.fingerprint == learned.book.fingerprint
    assert shop.model_id == learned.model_id
    assert "prices follow the rule book and the sales of before" in shop.fallback
    assert "Prices do not follow the last change yet" in words_of(client.get("/rules"))
    settled(app, client, client.post("/ledger/prices/learn", data=token))
    shop = app.extensions["resale"]
    assert shop.fallback is None and shop.book.fingerprint == shop.changed.fingerprint
    assert shop.book.fingerprint != learned.book.fingerprint
    client.post("/ledger/prices/switch", data={**token, "model": learned.model_id})
    assert app.extensions["resale"].book.fingerprint == learned.book.fingerprint


def test_a_lead_lets_the_sales_decide_the_order_of_a_ladder_and_takes_it_back(
    app: Flask, client: FlaskClient
) -> None:
    path = "/rules/jacket/stitch_density"
    before = app.extensions["resale"].book.fingerprint
    page = considered(app, client, path, order="0")
    assert "every answer: order kept → as the sales say" in words_of(page)
    assert "order as the sales say" in words_of(saved(app, client, page))
    shop = app.extensions["resale"]
    assert not shop.book.kinds["jacket"].by_id["stitch_density"].ordered
    assert re.search(r'name="order" value="0" checked', client.get(path).text)
    token = hidden_fields(client, path)
    saved(app, client, settled(app, client, client.post("/rules/back/1", data=token)))
    assert app.extensions["resale"].book.fingerprint == before
    choice = client.get(CUFFS).text
    assert 'name="order"' not in choice
