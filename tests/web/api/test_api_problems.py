"""Every error is a problem of RFC 9457, and its pointers (RFC 6901) lead to what was sent."""

from __future__ import annotations

import json
import logging
from urllib.parse import unquote

import pytest
from api_shop import JACKET, V1, Ask
from bench_forms import new_form, words_of
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError
from referencing import Registry, Resource
from werkzeug.test import TestResponse

from resale.web.api.pointers import faults_of, pointer
from resale.web.api.requests import EventSent, ItemToSave, ManySent
from resale.web.core.problems import TYPES


def is_problem(answer: TestResponse, status: int, type_id: str) -> None:
    """RFC 9457, section 3.1: the members, their types, and status as in the status line."""
    assert answer.status_code == status, answer.text
    assert answer.mimetype == "application/problem+json"
    said = answer.json
    assert said["type"] == f"/api#{type_id}"
    assert said["status"] == status
    for member in ("title", "detail", "instance", "remedy"):
        assert isinstance(said[member], str) and said[member]
    assert said["instance"].startswith("urn:uuid:")


def test_what_no_address_answers_is_a_problem_with_a_device_and_a_page_with_a_person(
    client: FlaskClient,
) -> None:
    is_problem(client.get("/api/nothing"), 404, "not-found")
    is_problem(client.get("/api/v2/items"), 404, "not-found")
    assert client.get("/nothing").mimetype == "text/html"


def test_a_wrong_method_is_told_which_there_are(client: FlaskClient) -> None:
    """RFC 9110, section 15.5.6: 405 has to come with Allow."""
    answer = client.delete(f"{V1}/items")
    is_problem(answer, 405, "wrong-method")
    assert {"GET", "POST"} <= set(answer.headers["Allow"].split(", "))


@pytest.mark.parametrize(
    "mimetype", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", ""]
)
def test_a_body_of_another_type_is_refused(ask: Ask, mimetype: str) -> None:
    """RFC 9110, section 15.5.16: Accept says what would be taken."""
    answer = ask("POST", "/value", data=json.dumps(JACKET), content_type=mimetype)
    is_problem(answer, 415, "wrong-content")
    assert answer.headers["Accept"] == "application/json"


def test_a_packed_body_is_refused(ask: Ask) -> None:
    headers = {"Content-Encoding": "gzip"}
    answer = ask(
        "POST", "/value", data=b"\x1f\x8b", content_type="application/json", headers=headers
    )
    is_problem(answer, 415, "wrong-content")


def test_a_charset_beside_the_type_is_no_matter(ask: Ask) -> None:
    """RFC 8259, section 11: there is no such parameter, and it has no effect."""
    answer = ask(
        "POST", "/value", data=json.dumps(JACKET), content_type="application/json; charset=x"
    )
    assert answer.status_code == 200


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{",
        b'{"kind": "bag"} {}',
        b"{'kind': 'bag'}",
        b'{"kind": NaN}',
        b'{"kind": Infinity}',
        b'{"kind": "\xff"}',
        b'{"kind": "\xed\xa0\x80"}',
        b'{"kind": "\\ud800"}',
        b'{"kind": "\\udc00\\ud800"}',
        b'{"kind": "a\x00"}',
        b"\xef\xbb\xbf{}",
        '{"kind": "bag"}'.encode("utf-16"),
        b"[" * 100_000,
        b'{"readings":' * 50_000,
        b'{"kind": ' + b"9" * 200_000 + b"}",
    ],
    ids=lambda body: repr(body[:24]),
)
def test_what_is_no_json_is_told_so(ask: Ask, body: bytes) -> None:
    """RFC 8259: the grammar, no NaN (section 6), UTF-8 (section 8.1); RFC 7493 for surrogates."""
    answer = ask("POST", "/value", data=body, content_type="application/json")
    is_problem(answer, 400, "not-json")


@pytest.mark.parametrize(
    "body",
    [
        b"null",
        b"[]",
        b'"bag"',
        b"1e999",
        b'{"kind": "a\\u0000b"}',
        b'{"kind": "bag", "note": "\\u0000"}',
        b'{"kind": "bag", "readings": {"a\\u0000": "x"}}',
        b'{"kind": "bag", "readings": {"stain": "\\u0007"}}',
        b'{"kind": "bag", "readings": {"stain": 1}}',
        b'{"kind": "bag", "readings": {"stain": null}}',
        b'{"kind": "bag", "readings": [["stain", "none"]]}',
        b'{"kind": "bag", "colour": "red"}',
        b'{"kind": 1e400}',
        b'{"kind": ["bag"]}',
        b'{"kind": ""}',
        b"{}",
        json.dumps({"kind": "bag", "note": "x" * 401}).encode(),
        json.dumps({"kind": "bag", "readings": {str(n): "none" for n in range(301)}}).encode(),
    ],
    ids=lambda body: repr(body[:44]),
)
def test_what_is_json_but_no_item_is_told_where(ask: Ask, body: bytes) -> None:
    answer = ask("POST", "/value", data=body, content_type="application/json")
    is_problem(answer, 422, "bad-fields")
    sent = json.loads(body.decode())
    for fault in answer.json["errors"]:
        assert fault["detail"] and fault["remedy"]
        resolves(sent, fault["pointer"])


def test_a_body_of_fifty_megabytes_is_not_read(ask: Ask) -> None:
    body = b'{"kind": "bag", "note": "' + b"x" * 50_000_000 + b'"}'
    answer = ask("POST", "/value", data=body, content_type="application/json")
    is_problem(answer, 413, "too-large")


def test_a_stranger_s_name_for_this_machine_is_a_problem_too(client: FlaskClient) -> None:
    answer = client.get(f"{V1}/health", headers={"Host": "elsewhere.example"})
    is_problem(answer, 400, "stranger")


def test_our_own_fault_is_told_by_a_reference_and_no_more(
    app: Flask, ask: Ask, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("the inside of the program")

    monkeypatch.setattr("resale.web.api.routes.values.value_of", broken)
    with caplog.at_level(logging.ERROR):
        answer = ask("POST", "/value", json=JACKET)
    is_problem(answer, 500, "our-fault")
    assert "inside" not in answer.text
    assert answer.json["instance"] in caplog.text


def test_every_type_of_problem_is_explained_on_the_page(client: FlaskClient) -> None:
    """RFC 9457, section 3.1.1: where a type can be looked up, it should lead to its explanation."""
    page = client.get("/api")
    for one in TYPES.values():
        assert f'id="{one.id}"' in page.text
        assert one.title in words_of(page)


def resolves(sent: object, fragment: str) -> object:
    """Follow a pointer by another hand: the library that JSON Schema's references run on."""
    assert fragment.startswith("#")
    registry = Registry().with_resource("urn:sent", Resource.opaque({"whole": sent}))
    return registry.resolver("urn:sent").lookup(f"#/whole{fragment[1:]}").contents


@given(st.lists(st.text(min_size=1, max_size=8).filter(lambda s: s.isprintable()), max_size=5))
def test_a_pointer_leads_where_it_was_made(steps: list[str]) -> None:
    document: object = "here"
    for step in reversed(steps):
        document = {step: document}
    assert resolves(document, pointer(*steps)) == "here"


def test_pointers_are_those_of_the_rfc() -> None:
    """RFC 6901, section 6, its table of fragments."""
    table = {
        ("foo", 0): "#/foo/0",
        ("",): "#/",
        ("a/b",): "#/a~1b",
        ("c%d",): "#/c%25d",
        ("e^f",): "#/e%5Ef",
        ("g|h",): "#/g%7Ch",
        ("i\\j",): "#/i%5Cj",
        ('k"l',): "#/k%22l",
        (" ",): "#/%20",
        ("m~n",): "#/m~0n",
    }
    for steps, fragment in table.items():
        assert pointer(*steps) == fragment
        assert unquote(fragment) is not None


ANY_JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=12),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(["kind", "readings", "items", "what", "note", "/", "~", ""])
            | st.text(max_size=6),
            inner,
            max_size=5,
        )
    ),
    max_leaves=20,
)


@given(ANY_JSON, st.sampled_from([ItemToSave, ManySent, EventSent]))
@settings(max_examples=100, suppress_health_check=[HealthCheck.too_slow])
def test_every_fault_points_into_what_was_sent(sent: object, model: type) -> None:
    body = json.dumps(sent)
    try:
        model.model_validate_json(body)
    except ValidationError as found:
        for fault in faults_of(found):
            resolves(sent, fault.pointer)
            assert fault.detail and fault.remedy


@pytest.mark.parametrize("where", ["label", "note", "s-cuff_buttons", "m-fibre_shell"])
def test_a_nul_in_a_form_is_refused_as_well(client: FlaskClient, where: str) -> None:
    """PostgreSQL takes no NUL in a text (its manual, section 8.3); SQLite would."""
    fields = new_form(client)
    answer = client.post("/bench/jacket/save", data={**fields, where: "a\0b"})
    assert answer.status_code == 422
    assert "NUL" in words_of(answer)
    assert client.get("/items?q=a%00").status_code == 422
