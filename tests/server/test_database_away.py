"""The database is away: a sentence and 503, on every page, and all is well when it is back.

RFC 9110, 15.6.4 and 10.2.3: 503 (Service Unavailable) with Retry-After. OWASP ASVS 5.0, 16.5.1: a
message to a visitor says nothing of what stands behind.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from relay import Relay, relay_to
from running_shop import Answer, Running, Visitor, running_shop
from servers import own_schema, server_address

PAGES = (
    "/",
    "/bench/jacket",
    "/items",
    "/rail",
    "/ledger",
    "/evidence",
    "/team",
    "/you",
    "/held",
    "/no-such-page",
)


@pytest.fixture(scope="module")
def shop(
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[tuple[Running, Visitor, Relay]]:
    folder = tmp_path_factory.mktemp("away") / "shop"
    with own_schema() as schema, relay_to(server_address()) as wire:
        told = {"RESALE_RECORDS_URL": wire.address, "RESALE_SHOP_KEY": schema}
        with running_shop(folder, **told) as running:
            owner = running.visitor()
            owner.become_owner(running.link)
            yield running, owner, wire


@pytest.fixture
def away(shop: tuple[Running, Visitor, Relay]) -> Iterator[None]:
    shop[2].cut()
    yield
    shop[2].mend()


def _says_so(answer: Answer, wire: Relay) -> None:
    assert answer.status == 503
    assert int(answer.headers["Retry-After"]) > 0
    assert not any(told in answer.text for told in (str(wire.port), "127.0.0.1", "postgres"))


@pytest.mark.usefixtures("away")
def test_every_page_says_so_to_whoever_is_signed_in(
    shop: tuple[Running, Visitor, Relay],
) -> None:
    _, owner, wire = shop
    for path in PAGES:
        if path == "/no-such-page":
            assert owner.get(path).status == 404
            continue
        answer = owner.get(path)
        _says_so(answer, wire)
        assert "records cannot be reached" in answer.text


@pytest.mark.usefixtures("away")
def test_signed_out_pages_and_devices_are_told_the_same(
    shop: tuple[Running, Visitor, Relay],
) -> None:
    running, _, wire = shop
    for path in ("/sign-in", "/enter/nothing", "/items"):
        _says_so(running.visitor().get(path), wire)
    device = running.visitor(headers={"Authorization": "Bearer rs_0123456789abcdef"})
    answer = device.get("/api/v1/items")
    _says_so(answer, wire)
    assert answer.headers["Content-Type"] == "application/problem+json"


def test_what_was_typed_is_kept_and_saved_when_the_database_is_back(
    shop: tuple[Running, Visitor, Relay],
) -> None:
    _, owner, wire = shop
    page = owner.get("/bench/jacket").text
    wire.cut()
    typed = {"label": "Harrowmere", "note": "brass buttons"}
    answer = owner.send("/bench/jacket/save", page, **typed)
    _says_so(answer, wire)
    assert "Harrowmere" in answer.text and "Send it again" in answer.text
    wire.mend()
    assert owner.send("/bench/jacket/save", answer.text, **typed).status == 303
    assert "Harrowmere" in owner.get("/items").text


def test_the_log_says_why(shop: tuple[Running, Visitor, Relay]) -> None:
    running, owner, wire = shop
    wire.cut()
    owner.get("/items")
    wire.mend()
    said = running.log.read_text()
    assert "the records are away on GET /items" in said and "connection" in said
    assert Path(running.log).stat().st_size > 0
