"""The log as JSON: a line for each request and fault, and nothing that a shop keeps or a door asks.

OWASP Logging Cheat Sheet ('Data to exclude'): tokens, passwords, session ids, names.
"""

from __future__ import annotations

import ast
import json
import logging
import re
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from bench_forms import hidden_fields
from flask import Flask
from signed_in import signed_in, stranger

from resale.web import create_app
from resale.web.core.logs import JsonLines

SECRETS = ("tok-5f3a9c", "Ottoline", "Q-00042", "corduroy", "swordfish", "10.1.2.3")


class Kept(logging.Handler):
    """What a log was told, as it would be written."""

    def __init__(self) -> None:
        super().__init__()
        self.setFormatter(JsonLines())
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(self.format(record))


@pytest.fixture
def kept() -> Iterator[Kept]:
    handler = Kept()
    logging.getLogger().addHandler(handler)
    yield handler
    logging.getLogger().removeHandler(handler)


@pytest.fixture
def app(tmp_path: Path) -> Flask:
    app = create_app(tmp_path, log_form="json", TESTING=False, PROPAGATE_EXCEPTIONS=False)

    @app.get("/api/v1/breaks/<name>")
    @app.get("/breaks/<name>")
    def breaks(name: str) -> str:
        raise ValueError(f"{name} with swordfish")

    return app


def test_no_token_name_number_or_search_stands_in_any_line(app: Flask, kept: Kept) -> None:
    owner, nobody = signed_in(app, "owner"), stranger(app)
    nobody.environ_base["REMOTE_ADDR"] = "10.1.2.3"
    kept.lines.clear()
    nobody.get("/enter/tok-5f3a9c")
    form = hidden_fields(nobody, "/sign-in")
    nobody.post("/sign-in", data={**form, "name": "Ottoline", "password": "swordfish"})
    nobody.get("/api/v1/items/Q-00042", headers={"Authorization": "Bearer tok-5f3a9c"})
    nobody.open("/Ottoline", method="SWORDFISH-swordfish")
    owner.get("/items/Q-00042")
    owner.get("/items?q=corduroy+Ottoline")
    pages = [one.get("/breaks/Ottoline").text for one in (owner, owner)]
    owner.get("/api/v1/breaks/Q-00042")
    logging.getLogger("resale.web").error("%s: no copy of %s", "Ottoline", "Q-00042")
    logging.getLogger("another.library").error("Ottoline sent swordfish")
    written = "\n".join(kept.lines)
    assert [one for one in SECRETS if one.lower() in written.lower()] == []
    told = [json.loads(line) for line in kept.lines]
    answered = [one for one in told if one.get("what") == "answered"]
    assert len(answered) == 10
    for one in answered:
        assert set(one) - {"fault"} == {"time", "level", "what", "rule", "method", "status", "ms"}
        at = datetime.fromisoformat(one["time"])
        assert at.utcoffset() == timedelta(0) and 0 <= one["ms"] < 60_000
    seen = {(one["method"], one["rule"], one["status"]) for one in answered}
    assert ("GET", "/enter/<token>", 404) in seen or ("GET", "/enter/<token>", 422) in seen
    assert ("POST", "/sign-in", 401) in seen
    assert ("GET", "/items/<number>", 404) in seen
    assert any(one["method"] == "other" and one["rule"] == "no such address" for one in answered)
    # The number on the page is the number in the log, on the request's line and the fault's.
    number = re.search(r"Reference ([0-9a-f]{8})", pages[0])[1]
    with_it = [one for one in told if one.get("fault") == number]
    assert {one["what"] for one in with_it} == {"answered", "fault … on …"}
    (fault,) = (one for one in with_it if "raised" in one)
    assert fault["raised"] == "ValueError" and fault["rule"] == "/breaks/<name>"
    assert all(re.fullmatch(r"[^ ]+\.py:\d+", one) for one in fault["at"])
    assert all(one["level"] == "error" for one in with_it)


def test_lines_for_a_person_have_no_line_a_request(tmp_path: Path, kept: Kept) -> None:
    create_app(tmp_path).test_client().get("/")
    assert [one for one in kept.lines if "answered" in one] == []


def test_what_is_said_to_the_log_is_never_filled_in_before() -> None:
    """A line written with an f-string would carry its values into the object."""
    levels = {"debug", "info", "warning", "error", "exception", "critical", "log"}
    sources = {path: path.read_text("utf-8") for path in Path("resale").rglob("*.py")}
    told = {path: one for path, one in sources.items() if "_log." in one or "_requests." in one}
    assert told
    for path, source in told.items():
        for call in ast.walk(ast.parse(source)):
            if isinstance(call, ast.Call) and isinstance(call.func, ast.Attribute):
                of, how = call.func.value, call.func.attr
                if isinstance(of, ast.Name) and of.id in {"_log", "_requests"} and how in levels:
                    at = 1 if how == "log" else 0
                    assert isinstance(call.args[at], ast.Constant), f"{path}:{call.lineno}"
