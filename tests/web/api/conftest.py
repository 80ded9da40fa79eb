"""A shop without sales, and a device that may do everything."""

from __future__ import annotations

from typing import Any

import pytest
from api_shop import LOOKED_OVER, V1, Ask, token_of
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from resale.web import create_app


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Flask:
    """One shop for a file of tests: each test asks with a device, and so with keys, of its own."""
    return create_app(tmp_path_factory.mktemp("shop"), RATELIMIT_ENABLED=False)


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    return app.test_client()


@pytest.fixture
def ask(app: Flask) -> Ask:
    """Ask as a device that may do everything; a key goes into its header."""
    token = token_of(app, "Till")

    def send(method: str, path: str, *, key: str | None = None, **more: Any) -> TestResponse:
        headers = {"Authorization": f"Bearer {token}", **more.pop("headers", {})}
        if key is not None:
            headers["Idempotency-Key"] = f'"{key}"'
        return app.test_client().open(f"{V1}{path}", method=method, headers=headers, **more)

    return send


@pytest.fixture
def saved(ask: Ask) -> str:
    """Number of a saved jacket."""
    return ask("POST", "/items", json=LOOKED_OVER, key="saved").json["number"]
