"""What a stranger or a slip may send: it is text, it is refused in a sentence, it leads nowhere."""

from __future__ import annotations

import pytest
from bench_forms import Send, hidden_fields, words_of
from examples import times
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from signed_in import signed_in, stranger

from resale.storage.items.store import item_numbered, items_count

QUERIES = ["'; DROP TABLE item; --", '" OR 1=1', "Robert'); DELETE FROM event;--", "%", "_", "\\"]


@pytest.mark.parametrize("text", QUERIES)
def test_text_that_looks_like_a_query_is_only_text(
    app: Flask, client: FlaskClient, send: Send, text: str
) -> None:
    """ASVS 5.0, 1.2.4."""
    send("save", label=text, note=text)
    shop = app.extensions["resale"]
    item = item_numbered(shop.records, "Q-00001")
    assert (item.label, item.note, items_count(shop.records)) == (text, text, 1)
    assert client.get("/items", query_string={"q": text}).status_code == 200
    assert client.get(f"/items/{text}").status_code in {404, 422}


@pytest.mark.parametrize("mark", [".*", "[", "(z+)+$", "%", "_"])
def test_a_search_for_marks_is_a_search_for_those_marks(
    client: FlaskClient, send: Send, mark: str
) -> None:
    """ASVS 5.0, 1.2.9: a mark of a pattern stands for nothing but itself."""
    send("save", label="Plain")
    assert "Q-00001" not in words_of(client.get("/items", query_string={"q": mark}))


@pytest.mark.parametrize(
    "path",
    [
        "/static/../records.db",
        "/static/%2e%2e/records.db",
        "/static/..%2f..%2fsession.key",
        "/copies/../records.db",
        "/copies/..%2Frecords.db",
        "/ledger/bring/../../records.db",
        "/evidence/..%2f..%2frecords.db/a.svg",
    ],
)
def test_no_path_leads_out_of_the_shop(client: FlaskClient, path: str) -> None:
    """ASVS 5.0, 5.3.2."""
    answer = client.get(path)
    assert answer.status_code in {400, 404, 422}
    assert b"SQLite format" not in answer.data


def test_a_visitor_cannot_pass_for_another_address(app: Flask) -> None:
    """ASVS 5.0, 4.1.3 and 15.3.4: without a proxy its headers are only what a visitor says."""
    signed_in(app, "owner")
    client = stranger(app)
    form = {**hidden_fields(client, "/sign-in"), "password": "wrong words here"}
    codes = [
        client.post(
            "/sign-in",
            data={**form, "name": f"Nobody {turn}"},
            headers={"X-Forwarded-For": f"203.0.113.{turn}"},
        ).status_code
        for turn in range(21)
    ]
    assert codes == [401] * 20 + [429]


def test_trace_is_not_answered(client: FlaskClient) -> None:
    """ASVS 5.0, 13.4.4."""
    assert client.open("/", method="TRACE").status_code == 405


def test_a_field_that_nobody_asked_for_changes_nothing(app: Flask, send: Send) -> None:
    """ASVS 5.0, 15.3.3: no price, route or name can be slipped in with a form."""
    plain = send("save", s__cuff_buttons="working", key="a")
    send(
        "save",
        s__cuff_buttons="working",
        key="b",
        ticket="1",
        estimate="1",
        by="Else",
        route="put_out",
        role="owner",
        client_key="x",
    )
    assert plain.status_code == 303
    shop = app.extensions["resale"]
    first, second = (item_numbered(shop.records, f"Q-0000{n}").newest for n in (1, 2))
    assert first.valued == second.valued


SENT = st.dictionaries(
    st.sampled_from(
        [
            "label",
            "size",
            "note",
            "key",
            "number",
            "s-cuff_buttons",
            "t-stitch_density",
            "t-fibre_shell",
            "g-stitch_density",
            "s-hole",
            "then",
            "x",
        ]
    ),
    st.text(max_size=60),
    max_size=8,
)


@settings(
    max_examples=times(12),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(SENT, st.sampled_from(["look", "save"]))
def test_no_form_gives_a_fault_of_ours(
    client: FlaskClient, fields: dict[str, str], sent: dict[str, str], action: str
) -> None:
    answer = client.post(f"/bench/jacket/{action}", data={**fields, **sent})
    assert answer.status_code in {200, 303, 404, 422}
