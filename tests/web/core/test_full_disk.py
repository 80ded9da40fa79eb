"""A disk that is full or for reading only, met at work: one sentence, and nothing typed is lost.

SQLite itself refuses to write, as it does on such a disk; tests/records has the disks.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from html import unescape
from pathlib import Path

import pytest
from bench_forms import Send, hidden_fields, new_form, words_of
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import event

from resale.storage.items.store import item_numbered, items_count
from resale.storage.people.invitations import make_entry_link
from resale.web.core.resend import fields_to_send_again

FULL = "PRAGMA max_page_count = 1"
READ_ONLY = "PRAGMA query_only = ON"
Refuse = Callable[[str], None]


@pytest.fixture
def refuse(app: Flask) -> Refuse:
    """Let the disk refuse every write from now on; an empty order lets it write again."""
    records = app.extensions["resale"].records
    given = [""]
    event.listen(records, "connect", lambda raw, _: given[0] and raw.execute(given[0]))

    def order(words: str) -> None:
        given[0] = words
        records.dispose()

    return order


@pytest.mark.parametrize(
    ("order", "code", "sentence"),
    [
        (FULL, 507, "The disk is full, so this was not written; what was saved before is all"),
        (READ_ONLY, 503, "The disk or the folder may only be read, so this was not written"),
    ],
)
def test_a_refused_save_is_one_sentence_and_one_button_sends_it_again(
    app: Flask,
    client: FlaskClient,
    send: Send,
    refuse: Refuse,
    order: str,
    code: int,
    sentence: str,
) -> None:
    typed = {"note": 'brass "buttons"\r\n<all> there', "label": "Harrowmere" * 8}
    refuse(order)
    answer = send("save", s__cuff_buttons="working", **typed)
    for _ in range(60):
        if answer.status_code == code:
            break
        # A few rows still fit into the pages that the file has.
        refuse("")
        fields = new_form(client)
        refuse(order)
        answer = client.post(
            "/bench/jacket/save", data={**fields, "s-cuff_buttons": "working", **typed}
        )
    assert answer.status_code == code
    said = words_of(answer)
    assert sentence.lower() in said.lower() and said.count("not written") == 1
    records = app.extensions["resale"].records
    before = items_count(records)
    kept = {
        name: unescape(text)
        for name, text in re.findall(
            r'<input type="hidden" name="([^"]+)" value="([^"]*)">', answer.text
        )
    }
    assert kept["s-cuff_buttons"] == "working"
    assert {name: kept[name] for name in typed} == typed
    assert 'action="/bench/jacket/save"' in answer.text
    refuse("")
    done = client.post("/bench/jacket/save", data=kept)
    assert client.post("/bench/jacket/save", data=kept).location == done.location
    assert items_count(records) == before + 1
    item = item_numbered(records, done.location.rsplit("=", 1)[1])
    assert item.newest.inputs["choices"]["cuff_buttons"] == "working"
    assert item.label == typed["label"]


def test_all_that_is_there_can_still_be_read(
    app: Flask, client: FlaskClient, send: Send, refuse: Refuse
) -> None:
    send("save", s__cuff_buttons="working")
    with app.extensions["resale"].records.begin() as one:
        # Long enough ago that the next page would write down that somebody is here.
        one.exec_driver_sql("UPDATE sitting SET seen_at = datetime(seen_at, '-1 hour')")
    refuse(READ_ONLY)
    for path in ("/", "/bench/jacket", "/items/Q-00001", "/ledger", "/copies"):
        assert client.get(path).status_code == 200, path


def test_a_bench_at_work_gets_a_line(client: FlaskClient, send: Send, refuse: Refuse) -> None:
    refuse(READ_ONLY)
    answer = send("save", live=True, s__cuff_buttons="working")
    assert answer.status_code == 503
    assert answer.text.strip().startswith('<p class="fault">') and "<form" not in answer.text


def test_a_password_is_never_written_into_a_page(client: FlaskClient, refuse: Refuse) -> None:
    fields = hidden_fields(client, "/you")
    refuse(READ_ONLY)
    typed = {"name": "Wilhelmina", "role": "sorter", "password": "four ducks"}
    answer = client.post("/team", data={**fields, **typed})
    assert answer.status_code == 503
    assert "Wilhelmina" in answer.text and "four ducks" not in answer.text


@pytest.mark.parametrize("path", ["/you/password", "/sign-in", "/team", "/bench/jacket/save"])
def test_only_fields_that_are_known_to_be_harmless_are_sent_again(app: Flask, path: str) -> None:
    """A list of what may: `again` and `old` held passwords and stood on no list of what may not."""
    secret = dict.fromkeys(("again", "old", "password", "a-field-of-tomorrow"), "four ducks")
    named = {"name": "four ducks"} if path in {"/you/password", "/sign-in"} else {}
    form = {**secret, **named, "csrf_token": "x", "note": "brass", "s-hole": "none"}
    with app.test_request_context(path, method="POST", data=form):
        again = fields_to_send_again()
    assert "four ducks" not in dict(again).values() and "csrf_token" not in dict(again)
    door = path in {"/you/password", "/sign-in"}
    assert again == ([] if door else [("note", "brass"), ("s-hole", "none")])


def test_an_entry_link_that_could_not_be_used_is_in_no_log(
    app: Flask, refuse: Refuse, caplog: pytest.LogCaptureFixture
) -> None:
    """It is good until it is used, and whoever reads the log could use it."""
    shop = app.extensions["resale"]
    token = make_entry_link(shop.records, None, shop.now())
    stranger = app.test_client()
    fields = hidden_fields(stranger, f"/enter/{token}")
    refuse(READ_ONLY)
    good = "seven invented ducks on a pond"
    told = {**fields, "name": "Ottoline", "password": good, "again": good}
    answer = stranger.post(f"/enter/{token}", data=told)
    assert answer.status_code == 503
    assert "POST /enter/<token>" in caplog.text and token not in caplog.text
    assert good not in answer.text


def test_what_was_to_be_written_is_in_no_log(app: Flask) -> None:
    """SQLAlchemy names the values of a statement that failed, unless it is told not to."""
    assert app.extensions["resale"].records.hide_parameters


def test_a_file_that_cannot_be_kept_is_told_with_what_it_was(
    client: FlaskClient, tmp_path: Path
) -> None:
    """A copy of the shop where there is no room for one; the list of copies still opens."""
    place = tmp_path / "copies"
    place.write_text("in the way")
    fields = hidden_fields(client, "/copies")
    page = client.post("/copies", data=fields, follow_redirects=True)
    assert "that is no folder; name another for the copies" in words_of(page)
    assert client.get("/copies").status_code == 200
