"""An application with a fresh data folder a test, and forms as a browser would send them."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from bench_forms import Send, new_form
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from resale.web import create_app


@pytest.fixture
def app(tmp_path: Path, empty_records: Path) -> Flask:
    shutil.copy(empty_records, tmp_path)
    return create_app(tmp_path)


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    return app.test_client()


@pytest.fixture
def fields(client: FlaskClient) -> dict[str, str]:
    """Hidden fields of a freshly opened jacket bench: the token and the key."""
    return new_form(client)


@pytest.fixture
def send(client: FlaskClient, fields: dict[str, str]) -> Send:
    """Post the jacket bench with the page's own hidden fields."""

    def post(action: str, *, live: bool = False, **more: str) -> TestResponse:
        named = {name.replace("__", "-"): value for name, value in more.items()}
        headers = {"HX-Request": "true"} if live else {}
        return client.post(f"/bench/jacket/{action}", data={**fields, **named}, headers=headers)

    return post
