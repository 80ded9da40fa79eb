"""Headers, forged forms, strangers, oversize forms, faults."""

from __future__ import annotations

import logging
import re
import stat
from pathlib import Path

import pytest
from addresses import addresses
from bench_forms import Send, words_of
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from resale.web import create_app
from resale.web.core.security import KEY_FILE

POLICY = (
    "default-src 'none'; object-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)


def says_what_it_is(answer: TestResponse) -> bool:
    """ASVS 5.0, 4.1.1: a type, and for text a charset."""
    kind = answer.headers.get("Content-Type", "").lower()
    return "charset=utf-8" in kind if kind.startswith("text/") else bool(kind or not answer.data)


def forms_that_change(page: str) -> list[str]:
    forms = re.findall(r"<form\b.*?</form>", page, flags=re.S)
    return [one for one in forms if 'method="post"' in one.split(">")[0]]


def test_every_address_answers_with_the_same_guards(
    app: Flask, client: FlaskClient, send: Send
) -> None:
    """Most tests send a token without opening a page; so the pages are looked at here."""
    send("save", s__cuff_buttons="working")
    paths = addresses(app)
    assert len(paths) >= 8
    forms, lacking = 0, set()
    for path in [*paths, "/nowhere"]:
        page = client.get(path)
        for form in forms_that_change(page.text) if page.mimetype == "text/html" else ():
            forms += 1
            if not re.search(r'name="csrf_token" value="[^"]+"', form):
                lacking.add(path)
        for answer in (page, client.post(path)):
            headers = answer.headers
            assert headers["Content-Security-Policy"] == POLICY, path
            assert headers["X-Content-Type-Options"] == "nosniff", path
            assert headers["X-Frame-Options"] == "DENY", path
            assert headers["Referrer-Policy"] == "same-origin", path
            assert says_what_it_is(answer), path
            answer.close()
    assert forms > 30
    # What a device keeps of the Bench asks for its token once the shop is there again.
    assert lacking == {"/bench-shell/jacket"}


# OWASP Secure Headers Project, list of headers to add (ci/headers_add.json of its repository, of
# 2024-07-19). Ours are the same or narrower, but for two: a referrer goes to our own pages, and
# Clear-Site-Data only when somebody signs out.
PUBLISHED = {
    "Cross-Origin-Embedder-Policy": "require-corp",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "deny",
    "X-Permitted-Cross-Domain-Policies": "none",
}


def test_headers_are_those_of_a_published_list(client: FlaskClient) -> None:
    for path in ("/", "/items", "/nowhere", "/static/styles/paper.css"):
        headers = client.get(path).headers
        assert {name: headers[name].lower() for name in PUBLISHED} == PUBLISHED, path
        assert "camera=()" in headers["Permissions-Policy"]
        # The project's list of headers to remove names these.
        assert not {"Server", "X-Powered-By"} & set(dict(headers))


def test_no_page_carries_a_script_or_a_style_of_its_own(client: FlaskClient, send: Send) -> None:
    send("save", s__cuff_buttons="working")
    for path in ("/", "/bench/jacket", "/items", "/items/Q-00001"):
        text = client.get(path).text
        assert " style=" not in text and "<style" not in text
        assert " onclick=" not in text and "<script>" not in text
        assert "http://" not in text and "https://" not in text


@pytest.mark.parametrize("action", ["look", "save", "none/wear"])
def test_a_form_without_its_token_changes_nothing(client: FlaskClient, action: str) -> None:
    answer = client.post(f"/bench/jacket/{action}", data={"s-cuff_buttons": "working"})
    assert answer.status_code == 400
    assert "too old to be trusted, so nothing was changed" in words_of(answer)


def test_the_session_cookie_stays_with_this_site_and_out_of_scripts(client: FlaskClient) -> None:
    cookie = client.get("/bench/jacket").headers["Set-Cookie"]
    assert "HttpOnly" in cookie and "SameSite=Strict" in cookie


def test_the_session_key_is_made_once_and_is_the_owners_alone(tmp_path: Path) -> None:
    first = create_app(tmp_path).config["SECRET_KEY"]
    assert create_app(tmp_path).config["SECRET_KEY"] == first
    assert len(first) == 64
    assert stat.S_IMODE((tmp_path / KEY_FILE).stat().st_mode) == 0o600


def test_a_stranger_asking_under_another_name_gets_nothing(client: FlaskClient) -> None:
    answer = client.get("/", headers={"Host": "shop.example"})
    assert answer.status_code == 400
    assert "answers to its own machine only" in answer.text


@pytest.mark.parametrize(
    ("path", "code", "sentence"),
    [
        ("/nowhere", 404, "Nothing is kept at this address."),
        ("/bench/spoon", 404, "the rule book has no kind 'spoon'"),
        ("/items/Q-99999", 404, "no item 'Q-99999' is saved"),
        ("/bench/jacket/save", 405, "This address answers another kind of request"),
    ],
)
def test_a_wrong_address_gets_a_sentence(
    client: FlaskClient, path: str, code: int, sentence: str
) -> None:
    answer = client.get(path)
    assert answer.status_code == code
    assert sentence in words_of(answer).replace("&#39;", "'")


def test_a_form_of_more_than_a_megabyte_is_refused_in_words(send: Send) -> None:
    answer = send("look", note="x" * 1_100_000)
    assert answer.status_code == 413
    assert "more than is taken at once (1 MB)" in words_of(answer)


def test_a_fault_of_ours_shows_a_reference_and_no_innards(
    app: Flask,
    client: FlaskClient,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    def fail(*_: object) -> None:
        raise RuntimeError("the innards")

    monkeypatch.setattr("resale.web.items.views.items_page", fail)
    with caplog.at_level(logging.ERROR, "resale.web"):
        answer = client.get("/items")
    assert answer.status_code == 500
    assert "innards" not in answer.text and "Traceback" not in answer.text
    reference = words_of(answer).split("Reference ")[1].split(".")[0]
    assert reference in caplog.text


@pytest.mark.parametrize(("path", "code"), [("/items", 500), ("/nowhere", 404)])
def test_a_fault_of_every_page_is_a_sentence_too(
    app: Flask, client: FlaskClient, caplog: pytest.LogCaptureFixture, path: str, code: int
) -> None:
    def fail() -> None:
        raise RuntimeError("the innards")

    app.context_processor(lambda: {"copy_trouble": fail})
    with caplog.at_level(logging.ERROR, "resale.web"):
        answer = client.get(path)
    assert answer.status_code == code and "That did not work" in answer.text
    assert "innards" not in answer.text and "Internal Server Error" not in answer.text
    assert "could not be written" in caplog.text


def test_a_live_tap_gets_a_line_and_not_a_page_when_something_is_wrong(client: FlaskClient) -> None:
    answer = client.post("/bench/jacket/look", headers={"HX-Request": "true"})
    assert answer.status_code == 400
    assert answer.text.startswith('<p class="fault">')
