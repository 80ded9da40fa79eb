"""Counts for a watch over the server, read back by the parser of the standard's own library."""

from __future__ import annotations

from pathlib import Path

from api_shop import V1, Ask
from bench_forms import Send
from flask import Flask
from flask.testing import FlaskClient
from prometheus_client.openmetrics.parser import text_string_to_metric_families

from resale.web import create_app


def counted(ask: Ask) -> tuple[str, dict[tuple[str, ...], float]]:
    answer = ask("GET", "/metrics")
    assert answer.status_code == 200
    assert answer.content_type.startswith("application/openmetrics-text; version=1.0.0")
    families = {one.name: one for one in text_string_to_metric_families(answer.text)}
    found = {
        (s.name, *s.labels.values()): s.value for one in families.values() for s in one.samples
    }
    return answer.text, found


def test_each_answer_is_counted_under_the_rule_of_its_address(
    client: FlaskClient, ask: Ask, send: Send
) -> None:
    """The parser refuses whatever the standard does: a missing end, buckets that fall, a counter
    without its ending."""
    send("save", then="open", note="a note of Ottoline's")
    for _ in range(2):
        assert client.get("/items/Q-00001").status_code == 200
    assert client.get("/items/Q-00099").status_code == 404
    assert client.get("/nowhere/Q-00001").status_code == 404
    assert client.open("/items/Q-00001", method="BREW").status_code == 405
    text, found = counted(ask)
    assert found["resale_requests_total", "items.one", "GET", "200"] == 2
    assert found["resale_requests_total", "items.one", "GET", "404"] == 1
    assert found["resale_requests_total", "no such address", "GET", "404"] == 1
    assert found["resale_request_seconds_count", "items.one"] == 3
    assert 0 < found["resale_request_seconds_sum", "items.one"] < 60
    assert "Q-000" not in text and "Ottoline" not in text and "BREW" not in text


def test_nobody_reads_it_without_a_token(client: FlaskClient) -> None:
    assert client.get(f"{V1}/metrics").status_code == 401


def test_each_application_counts_its_own(app: Flask, ask: Ask, tmp_path: Path) -> None:
    key = ("resale_requests_total", "api.health", "GET", "200")
    before = counted(ask)[1].get(key, 0)
    other = create_app(tmp_path)
    assert other.test_client().get(f"{V1}/health").status_code == 200
    assert counted(ask)[1].get(key, 0) == before
    assert app.test_client().get(f"{V1}/health").status_code == 200
    assert counted(ask)[1][key] == before + 1
