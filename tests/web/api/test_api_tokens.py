"""Tokens: RFC 6750 for who may ask, RFC 6585 for how often. Cookies open nothing."""

from __future__ import annotations

from pathlib import Path

import pytest
from api_shop import JACKET, V1, Ask, token_of
from flask import Flask
from flask.testing import FlaskClient
from limits import parse
from sqlalchemy import text

from resale.storage.people.devices import SCOPES, devices, digest_of, revoke_device
from resale.web import create_app
from resale.web.api.operations import OPERATIONS

NEEDED = {
    ("GET", "/catalogue"): "read",
    ("GET", "/model"): "read",
    ("GET", "/metrics"): "read",
    ("POST", "/value"): "read",
    ("POST", "/values"): "read",
    ("GET", "/items"): "read",
    ("POST", "/items"): "save",
    ("GET", "/items/Q-00001"): "read",
    ("POST", "/items/Q-00001/events"): "sell",
    ("GET", "/items/Q-00001/ticket.pdf"): "read",
    ("POST", "/items/Q-00001/photos"): "save",
    ("POST", "/labels/read"): "read",
    ("POST", "/items/Q-00001/corrections"): "sell",
    ("POST", "/sales"): "sell",
    ("GET", "/days/today"): "read",
    ("GET", "/days/today/lines"): "read",
    ("POST", "/days/today/closing"): "sell",
    ("POST", "/items/Q-00001/holds"): "save",
    ("POST", "/items/Q-00001/holds/mould/clear"): "clear",
}


def bearer(token: str) -> dict[str, str]:
    return {"Authorization": f"Bearer {token}"}


@pytest.mark.parametrize(("method", "path"), NEEDED)
def test_no_address_with_data_opens_without_a_token(
    client: FlaskClient, method: str, path: str
) -> None:
    """RFC 6750, section 3.1: a request without a token is told no error code."""
    answer = client.open(V1 + path, method=method, json={} if method == "POST" else None)
    assert answer.status_code == 401
    assert answer.headers["WWW-Authenticate"] == 'Bearer realm="shop"'
    assert answer.mimetype == "application/problem+json"


def test_the_list_of_addresses_above_is_whole() -> None:
    assert len(NEEDED) == sum(one.scope is not None for one in OPERATIONS.values())


@pytest.mark.parametrize(("method", "path"), NEEDED)
def test_a_token_opens_only_what_its_scope_says(
    app: Flask, client: FlaskClient, method: str, path: str
) -> None:
    """RFC 6750, section 3.1: insufficient_scope comes with 403 and may name the scope."""
    scope = NEEDED[method, path]
    others = [one for one in SCOPES if one != scope]
    headers = bearer(token_of(app, "Scanner", *others))
    answer = client.open(V1 + path, method=method, headers=headers)
    assert answer.status_code == 403
    told = answer.headers["WWW-Authenticate"]
    assert told == f'Bearer realm="shop", error="insufficient_scope", scope="{scope}"'
    right = bearer(token_of(app, "Till", scope))
    assert client.open(V1 + path, method=method, headers=right).status_code not in (401, 403)


@pytest.mark.parametrize(
    "given",
    ["Bearer nobody", "Bearer", "Bearer ", "Basic dTpw", "Bearer a b", "Bearer \u00fc", "x" * 5000],
)
def test_a_wrong_token_is_told_so(client: FlaskClient, given: str) -> None:
    """RFC 6750, section 3.1: invalid_token comes with 401."""
    answer = client.get(f"{V1}/model", headers={"Authorization": given.encode().decode("latin-1")})
    assert answer.status_code == 401
    assert 'error="invalid_token"' in answer.headers["WWW-Authenticate"]


def test_the_scheme_is_read_in_any_case(app: Flask, client: FlaskClient) -> None:
    """RFC 9110, section 11.1: the scheme's name does not mind its case."""
    token = token_of(app, "Till")
    assert (
        client.get(f"{V1}/model", headers={"Authorization": f"bEARER {token}"}).status_code == 200
    )


def test_a_revoked_token_opens_nothing_from_then_on(app: Flask, client: FlaskClient) -> None:
    shop = app.extensions["resale"]
    headers = bearer(token_of(app, "Till"))
    newest = devices(shop.records)[0]
    assert client.get(f"{V1}/model", headers=headers).status_code == 200
    revoke_device(shop.records, newest.id, shop.now())
    answer = client.get(f"{V1}/model", headers=headers)
    assert answer.status_code == 401
    assert 'error="invalid_token"' in answer.headers["WWW-Authenticate"]


def test_a_cookie_or_a_token_in_the_address_opens_nothing(app: Flask, client: FlaskClient) -> None:
    token = token_of(app, "Till")
    client.get("/devices")  # the browser of a person now has a session
    assert client.get_cookie("resale") is not None
    client.set_cookie("Authorization", f"Bearer {token}")
    assert client.get(f"{V1}/model").status_code == 401
    assert client.get(f"{V1}/model?access_token={token}").status_code == 401
    assert client.post(f"{V1}/items", json=JACKET).status_code == 401


def test_no_answer_of_the_api_sets_a_cookie_or_may_be_kept(ask: Ask) -> None:
    for answer in (ask("GET", "/model"), ask("GET", "/items"), ask("GET", "/nowhere")):
        assert "Set-Cookie" not in answer.headers
        assert answer.headers["Cache-Control"] == "no-store"


def test_no_form_token_is_asked_of_a_device(ask: Ask) -> None:
    assert ask("POST", "/items", json=JACKET, key="k").status_code == 201


def test_health_needs_no_token_and_tells_nothing(client: FlaskClient) -> None:
    answer = client.get(f"{V1}/health")
    assert (answer.status_code, answer.json) == (200, {"status": "ok"})


def test_the_secret_is_nowhere_in_the_records(app: Flask, client: FlaskClient) -> None:
    token = token_of(app, "Till")
    client.get(f"{V1}/model", headers=bearer(token))
    shop = app.extensions["resale"]
    with shop.records.connect() as connection:
        rows = connection.execute(text("SELECT * FROM device_token")).all()
    assert digest_of(token) in str(rows) and token not in str(rows)
    assert len(token) == 43, "32 octets in base64url without padding (RFC 4648, section 5)"
    assert devices(shop.records)[0].last_used_at is not None


@pytest.fixture
def counted(tmp_path: Path) -> Flask:
    app = create_app(tmp_path, RATELIMIT_ENABLED=True)
    return app


def test_wrong_tokens_are_counted_and_then_told_to_wait(counted: Flask) -> None:
    """RFC 6585, section 4: 429 may say in Retry-After how long to wait."""
    client, wrong = counted.test_client(), bearer("nobody")
    codes = [client.get(f"{V1}/model", headers=wrong).status_code for _ in range(21)]
    assert codes == [401] * 20 + [429]
    answer = client.get(f"{V1}/model", headers=wrong)
    assert answer.json["type"] == "/api#too-often"
    assert 1 <= int(answer.headers["Retry-After"]) <= 60
    right = bearer(token_of(counted, "Till"))
    assert client.get(f"{V1}/model", headers=right).status_code == 200, "a good token is let in"


def test_each_token_has_a_number_of_requests_a_minute_of_its_own(
    counted: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("resale.web.api.tokens.REQUESTS", parse("3/minute"))
    client = counted.test_client()
    till, desk = bearer(token_of(counted, "Till")), bearer(token_of(counted, "Desk"))
    codes = [client.get(f"{V1}/model", headers=till).status_code for _ in range(4)]
    assert codes == [200, 200, 200, 429]
    assert client.get(f"{V1}/model", headers=desk).status_code == 200
    assert client.get(f"{V1}/health").status_code == 200
