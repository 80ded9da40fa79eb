"""A label is one thing at every door: same estimate, tier and ticket, however it is spelt."""

from __future__ import annotations

import csv
import random
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from api_shop import LOOKED_OVER, V1, token_of
from flask import Flask
from label_spellings import spelt
from sent_files import read_items
from sqlalchemy import text

from resale.errors import ReadingError
from resale.services.actor import Actor
from resale.services.items.call_label import call_label
from resale.services.items.entry import entry_of
from resale.services.items.rack_rows import HEADING, RackRows
from resale.services.on_hand.stock import stock_of
from resale.services.shop import Shop
from resale.services.standing.desk import desk_of
from resale.services.standing.fresh import look_at
from resale.storage.items.label_rows import all_names, label_lines
from resale.web import create_app

LEAD = Actor("Lead of the test", "lead")
SPELLINGS = 12


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory, copy_of_demo: Callable[[Path], Path]) -> Flask:
    place = copy_of_demo(tmp_path_factory.mktemp("labels") / "shop")
    return create_app(place, demo=True, RATELIMIT_ENABLED=False)


@pytest.fixture(scope="module")
def shop(app: Flask) -> Shop:
    return app.extensions["resale"]


@pytest.fixture(scope="module")
def today(shop: Shop) -> date:
    return shop.here().date()


@pytest.fixture(scope="module")
def dear(shop: Shop, today: date) -> str:
    """The label that moves the price of a jacket most."""
    return max(shop.valuer.model.labels, key=lambda label: at_bench(shop, label, today)[0])


def at_bench(shop: Shop, label: str, today: date) -> tuple:
    entry = entry_of(
        shop.book.kinds["jacket"],
        LOOKED_OVER["readings"] | {"stain": "hidden_2", "stitch_density": "", "fibre_shell": ""},
        {},
        label=label,
        looks=LOOKED_OVER["looks"],
    )
    entry.picked.pop("stitch_density")
    entry.picked.pop("fibre_shell")
    looked = look_at(shop, entry, today)
    return looked.valued.estimate, looked.standing.tier, looked.standing.ticket


def test_a_label_moves_the_price_or_this_would_prove_nothing(shop, dear, today):
    assert at_bench(shop, dear, today)[0] > 1.2 * at_bench(shop, "Nobody knows it", today)[0]


def test_bench_file_api_and_rail_say_the_same_of_every_spelling(app, shop, dear, today, tmp_path):
    chance = random.Random(5)  # noqa: S311 - a seed, no secret
    words = [dear, dear.upper(), dear.lower(), *(spelt(dear, chance) for _ in range(SPELLINGS))]
    assert {at_bench(shop, word, today) for word in words} == {at_bench(shop, dear, today)}
    assert len(in_file(shop, words, today, tmp_path)) == 1
    by_wire = over_the_wire(app, words)
    assert len({(one["estimate_minor"], one["tier"], one["ticket_minor"]) for one in by_wire}) == 1
    numbers = [one["number"] for one in by_wire]
    stock = stock_of(shop, today)
    rows = [row for row, item in enumerate(stock.items) if item.number in numbers]
    assert len(rows) == len(words)
    on_rail = {
        (int(stock.estimate[r]), stock.standings[r].tier, stock.items[r].label) for r in rows
    }
    assert on_rail == {(by_wire[0]["estimate_minor"], by_wire[0]["tier"], dear)}


def in_file(shop: Shop, words: list[str], today: date, folder: Path) -> set:
    """What a file says of each spelling that stands in it alone."""
    told = set()
    for place, word in enumerate(words):
        path = folder / f"{place}.csv"
        with path.open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows([["kind", "label"], ["jacket", word]])
        read = read_items(path, shop.book)
        line = dict(
            zip(HEADING, *RackRows(desk_of(shop, today)).rows(read, slice(0, 1)), strict=True)
        )
        told.add((line["estimate"], line["tier"], line["ticket"]))
    return told


def over_the_wire(app: Flask, words: list[str]) -> list[dict]:
    token, client = token_of(app, "Till of labels"), app.test_client()
    found = []
    for place, word in enumerate(words):
        answer = client.post(
            f"{V1}/items",
            json={**LOOKED_OVER, "label": word},
            headers={
                "Authorization": f"Bearer {token}",
                "Idempotency-Key": f"label-key-{place:04d}",
            },
        )
        assert answer.status_code in (200, 201), answer.json
        found.append(answer.json)
    return found


def test_two_labels_are_joined_and_parted_and_their_things_follow(shop, dear, today):
    other = "Quite another name"
    before = at_bench(shop, other, today)
    with shop.records.connect() as one:
        count = "SELECT count(*) FROM item WHERE label = :name"
        had = one.execute(text(count), {"name": dear}).scalar()
    assert call_label(shop.records, LEAD, other, dear.upper(), shop.here()) == 0
    # Joined by any spelling of the other; shown as the other is shown.
    assert at_bench(shop, other.upper(), today) == at_bench(shop, dear, today) != before
    assert all_names(shop.records).name_of(other) == dear
    with pytest.raises(ReadingError, match="already"):
        call_label(shop.records, LEAD, dear, other, shop.here())
    assert call_label(shop.records, LEAD, other, other, shop.here()) == 0
    assert at_bench(shop, other, today) == before
    assert call_label(shop.records, LEAD, dear, dear.upper(), shop.here()) == had > 0
    assert dear.upper() in {line.name for line in label_lines(shop.records)}
    assert call_label(shop.records, LEAD, dear, dear, shop.here()) == had
