"""What a browser keeps of the Bench: bare pages, the worker's list, a fresh token."""

from __future__ import annotations

import json
import re
from pathlib import Path

from bench_forms import Send
from flask import Flask, url_for
from flask.testing import FlaskClient
from signed_in import NAMES

from resale.garments.rulebook.rule_book import load_rule_book
from resale.storage.people.audit_log import audit_entries
from resale.web import create_app

LOADED = ("scripts/bench.js", "vendor/htmx.min.js")


def test_a_bare_bench_holds_no_token_no_person_and_no_item(
    client: FlaskClient, send: Send, app: Flask
) -> None:
    send("save", label="Harrowmere", note="brass")
    other = app.test_client()
    for path in ("/bench-shell", "/bench-shell/jacket"):
        answer = other.get(path)
        assert answer.status_code == 200
        assert NAMES["owner"] not in answer.text
        assert "Q-00001" not in answer.text and "brass" not in answer.text
        assert 'data-shell="1"' in answer.text
    assert 'name="csrf_token" value=""' in answer.text
    assert 'name="key" value=""' in answer.text


def test_a_bare_bench_of_an_unknown_kind_is_not_found(client: FlaskClient) -> None:
    assert client.get("/bench-shell/spoon").status_code == 404


def test_the_worker_lists_every_kind_and_only_files_that_are_there(client: FlaskClient) -> None:
    answer = client.get("/bench-worker.js")
    assert answer.content_type == "text/javascript; charset=utf-8"
    found = re.search(r"Object\.entries\((\{.*?\})\)", answer.text)
    listed = re.search(r"const FILES = (\[.*?\]);", answer.text)
    assert found is not None and listed is not None
    pages, files = json.loads(found[1]), json.loads(listed[1])
    assert set(pages) == {"/", *(f"/bench/{kind}" for kind in load_rule_book().kinds)} | {
        "/bench/unsorted"
    }
    with client.application.test_request_context():
        loaded = {url_for("static", filename=name) for name in LOADED}
    assert loaded <= set(files)
    for path in (*pages.values(), *files):
        got = client.get(path)
        assert got.status_code == 200, path
        got.close()
    page = client.get("/bench/jacket").text
    assert set(re.findall(r'(?:src|href)="(/static/[^"]+)"', page)) <= set(files)


def test_the_worker_changes_with_what_its_pages_are_made_of(
    client: FlaskClient, tmp_path: Path
) -> None:
    first = client.get("/bench-worker.js").text
    assert client.get("/bench-worker.js").text == first
    other = create_app(tmp_path, name="Another invented shop").test_client()
    assert other.get("/bench-worker.js").text != first


def test_a_fresh_token_is_good_and_never_stored(
    client: FlaskClient, fields: dict[str, str]
) -> None:
    answer = client.get("/bench-token")
    assert answer.headers["Cache-Control"] == "no-store"
    assert answer.json["person"] == NAMES["owner"]
    data = {**fields, "csrf_token": answer.json["csrf"]}
    assert client.post("/bench/jacket/save", data=data).status_code == 303


def test_a_save_sent_again_late_does_not_undo_what_was_changed_meanwhile(
    app: Flask, client: FlaskClient, send: Send
) -> None:
    send("save", label="Harrowmere", note="at once")
    page = client.get("/bench/jacket?item=Q-00001").text
    later = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', page))
    client.post("/bench/jacket/save", data={**later, "label": "Harrowmere", "note": "corrected"})
    answer = send("save", label="Harrowmere", note="at once")
    assert answer.location == "/bench/jacket?saved=Q-00001"
    text = client.get("/items/Q-00001").text
    assert "corrected" in text and "at once" not in text


def test_a_save_that_arrives_twice_is_written_down_once(app: Flask, send: Send) -> None:
    for _ in range(2):
        send("save", label="Harrowmere")
    lines = audit_entries(app.extensions["resale"].records)
    assert [one.what for one in lines].count("saved an item") == 1
