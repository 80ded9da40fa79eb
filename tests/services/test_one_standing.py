"""One item has one price, one tier, one route and one reason, whichever way one asks.

The invented shop's stock is asked on the item's page, in the list, on the Rail, on the plan's page,
over the API and in a file; what each says is read from what it answers, not from what decides.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from api_shop import V1, token_of
from flask import Flask
from rail_shop import clients_words
from sent_files import read_items

from resale.config.paths import shipped
from resale.services.items.rack_rows import HEADING, RackRows
from resale.services.on_hand.lines import mending_of, rail_of
from resale.services.shop import Shop
from resale.services.standing.desk import desk_of
from resale.services.standing.saved import saved_standings
from resale.storage.items.item_pages import items_page
from resale.storage.items.store import item_numbered
from resale.web import create_app

WAYS = {"put_out": "Put out", "mend_first": "Mend first", "pass_on": "Pass on", "hold": "Hold"}
PLACES = {"put_out": "ready", "mend_first": "mend", "pass_on": "pass_on", "hold": "held"}


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory, copy_of_demo: Callable[[Path], Path]) -> Flask:
    place = copy_of_demo(tmp_path_factory.mktemp("one") / "shop")
    return create_app(place, demo=True, RATELIMIT_ENABLED=False)


def device(app: Flask) -> Callable[[str], dict]:
    token = token_of(app, "Till")
    client = app.test_client()

    def get(path: str) -> dict:
        return client.get(f"{V1}{path}", headers={"Authorization": f"Bearer {token}"}).json

    return get


def listed(get: Callable[[str], dict]) -> dict[str, dict]:
    found, cursor = {}, ""
    while cursor is not None:
        page = get(f"/items?limit=200{cursor and f'&cursor={cursor}'}")
        found |= {one["number"]: one for one in page["items"]}
        cursor = page["next_cursor"]
    return found


def test_every_way_of_asking_says_the_same_of_the_whole_stock(app: Flask) -> None:
    shop = app.extensions["resale"]
    today = shop.here().date()
    rail = rail_of(shop, today)
    by_api = listed(device(app))
    standings = saved_standings(shop, [line.number for line in rail.lines], today)
    assert len(standings) == len(rail.lines) > 100
    tiers = [tier.id for tier in shop.book.book.tiers]
    for line in rail.lines:
        one, sent = standings[line.number], by_api[line.number]
        assert (line.price, line.written) == (one.price, one.written)
        assert (tiers[line.tier], line.standing) == (one.tier, PLACES[one.route])
        assert line.why == one.reason
        assert (sent["ticket_minor"], sent["tier"], sent["route"]) == (
            one.ticket,
            one.tier,
            one.route,
        )
        # What the plan would write first is the ticket.
        assert line.plan[0] == one.price


def test_mend_first_is_said_when_mending_pays_and_then_alone(app: Flask) -> None:
    shop = app.extensions["resale"]
    rail = rail_of(shop, shop.here().date())
    waiting = [line for line in rail.lines if line.standing in ("ready", "mend", "pass_on")]
    said = {line.number for line in waiting if line.standing == "mend"}
    pays = {line.number for line in waiting if mending_of(shop, rail.stock, line.row).chosen}
    assert said == pays and said
    client = app.test_client()
    for line in waiting[:40]:
        page = clients_words(client, f"/rail/{line.number}")
        assert ("no mending pays" in page and "Mend first" in page) is False


def test_the_pages_show_what_is_decided(app: Flask) -> None:
    shop, client = app.extensions["resale"], app.test_client()
    today, money = shop.here().date(), shop.money
    numbers = [line.number for line in items_page(shop.records, per_page=40).lines]
    standings, get = saved_standings(shop, numbers, today), device(app)
    for number in numbers:
        one = standings[number]
        page, plan = client.get(f"/items/{number}").text, clients_words(client, f"/rail/{number}")
        price = re.search(r'<p class="price">([^<]*)</p>', page)
        assert price is not None
        assert price[1] == ("Hold" if one.holds else money.show(one.price))
        assert f"Ticket {money.show(one.price)}" in plan
        if not one.holds:
            assert f"<strong>{WAYS[one.route]}.</strong>" in page or "Hold cleared" in page
        life = get(f"/items/{number}")
        assert (life["ticket_minor"], life["route"], life["reason"], life["tier"]) == (
            one.ticket,
            one.route,
            one.reason,
            one.tier,
        )
        assert [hold["id"] for hold in life["holds"]] == [hold.id for hold in one.holds]


def with_looks(shop: Shop, folder: Path) -> Path:
    """The invented items with what their sorter looked over, as the invented shop has them."""
    with (shipped("demo_data") / "items.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        kept = item_numbered(shop.records, row["item"]).newest.inputs
        row.update({**kept["choices"], **kept["looks"], **kept["typed"]})
    names = dict.fromkeys(name for row in rows for name in row)
    path = folder / "items.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        table = csv.DictWriter(file, list(names), restval="")
        table.writeheader()
        table.writerows(rows)
    return path


def test_a_file_of_the_stock_says_what_the_screens_say(app: Flask, tmp_path: Path) -> None:
    shop = app.extensions["resale"]
    today = shop.here().date()
    path = with_looks(shop, tmp_path)
    file = read_items(path, shop.book)
    rows = RackRows(desk_of(shop, today)).rows(file, slice(0, len(file.good)))
    lines = [dict(zip(HEADING, row, strict=True)) for row in rows]
    assert len(lines) == len(path.read_text().splitlines()) - 1
    standings = saved_standings(shop, [line["item"] for line in lines], today)
    for line in lines:
        one = standings[line["item"]]
        ticket = "" if one.ticket is None else f"{one.ticket / 10**shop.money.decimals:.2f}"
        assert (line["ticket"], line["route"], line["reason"]) == (
            ticket,
            WAYS[one.route],
            one.reason,
        ), line["item"]
