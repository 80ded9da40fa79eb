"""The API values what the Bench and a file value, to the cent, and refuses what they refuse."""

from __future__ import annotations

import re
from math import prod

import numpy as np
import pytest
from api_shop import JACKET, Ask
from bench_forms import new_form
from flask import Flask
from flask.testing import FlaskClient
from sent_files import items_from_bytes

from resale.garments.rulebook.rule_book import RuleBook, load_rule_book
from resale.services.items.rack_rows import HEADING, RackRows
from resale.services.standing.desk import desk_of
from resale.storage.items.catalogue import catalogue_of
from resale.storage.items.store import item_numbered

BOOK = load_rule_book()


def drawn_items(book: RuleBook, seed: int, count: int) -> list[dict]:
    """Items with options picked at random; every kind comes."""
    rng = np.random.default_rng(seed)
    items = []
    for place in range(count):
        kind = tuple(book.kinds.values())[place % len(book.kinds)]
        seen = [one for one in kind.signals if rng.random() < 0.4]
        readings = {one.id: str(rng.choice(one.option_ids)) for one in seen}
        items.append({"kind": kind.id, "readings": readings})
    return items


@pytest.mark.parametrize("item", drawn_items(BOOK, 1, 5), ids=lambda one: one["kind"])
def test_the_bench_says_the_same_of_the_same_item_to_the_cent(
    app: Flask, client: FlaskClient, ask: Ask, item: dict
) -> None:
    fields = new_form(client)
    form = fields | {f"s-{signal}": option for signal, option in item["readings"].items()}
    answer = client.post(f"/bench/{item['kind']}/save", data={**form, "then": "open"})
    number = re.search(r"Q-\d+", answer.location)[0]
    bench = item_numbered(app.extensions["resale"].records, number).newest.valued
    said = ask("POST", "/value", json=item).json
    assert said["estimate_minor"] == bench.estimate
    assert said["rounded_minor"] == bench.ticket
    assert said["band"]["low_minor"] == bench.low
    assert [one["rule"]["minor"] for one in said["contributions"]] == [
        row.rule_money for row in bench.contributions
    ]
    stands = ask("GET", f"/items/{number}").json
    for name in ("ticket_minor", "route", "reason", "tier"):
        assert said[name] == stands[name]


def test_measures_and_findings_in_words_are_read_as_the_bench_reads_them(
    app: Flask, client: FlaskClient, ask: Ask
) -> None:
    fields = new_form(client)
    typed = {
        "s-cuff_buttons": "working",
        "s-stain": "hidden_2",
        "m-stitch_density": "14 in 1.25 in",
        "m-fibre_shell": "100% wool",
        "label": "Harrowmere",
        "then": "open",
    }
    number = re.search(r"Q-\d+", client.post("/bench/jacket/save", data=fields | typed).location)[0]
    bench = item_numbered(app.extensions["resale"].records, number).newest.valued
    said = ask("POST", "/value", json=JACKET).json
    assert said["estimate_minor"] == bench.estimate
    assert [one["option"] for one in said["contributions"]] == [
        row.option for row in bench.contributions
    ]


def test_a_file_says_the_same_of_the_same_items(app: Flask, ask: Ask) -> None:
    shop = app.extensions["resale"]
    items = drawn_items(BOOK, 2, 20)
    columns = sorted({signal for item in items for signal in item["readings"]})
    rows = [[item["kind"], *(item["readings"].get(s, "") for s in columns)] for item in items]
    text = "\n".join(",".join(row) for row in [["kind", *columns], *rows])
    file = items_from_bytes(text.encode(), "items.csv", shop.book)
    lines = list(RackRows(desk_of(shop, shop.here().date())).rows(file, slice(0, len(items))))
    place = HEADING.index("estimate")
    answers = ask("POST", "/values", json={"items": items}).json["results"]
    assert [f"{one['value']['estimate_minor'] / 100:.2f}" for one in answers] == [
        line[place] for line in lines
    ]


def test_the_factors_and_the_money_both_come_to_the_estimate(ask: Ask) -> None:
    said = ask("POST", "/value", json=JACKET).json
    parts = [said["level"], *(p for s in said["contributions"] for p in (s["rule"], s["sales"]))]
    assert said["anchor_minor"] + sum(part["minor"] for part in parts) == said["estimate_minor"]
    product = said["anchor_minor"] * prod(part["factor"] for part in parts)
    assert round(product) == said["estimate_minor"]
    assert sum(one["chance"] for one in said["tiers"]) == pytest.approx(1, abs=1e-3)


def test_a_hold_comes_with_what_to_do_now_and_whom_to_ask(ask: Ask) -> None:
    mouldy = {"kind": "jacket", "readings": {"mould": "musty"}}
    said = ask("POST", "/value", json=mouldy).json
    assert said["route"] == "hold"
    (hold,) = said["holds"]
    assert hold["id"] == "mould" and hold["do_now"] and hold["ask"]
    assert "not legal advice" in hold["standing"]


def test_a_fibre_label_that_names_fur_raises_its_hold(ask: Ask) -> None:
    furry = {"kind": "jacket", "readings": {"fibre_shell": "80% wool 20% rabbit fur"}}
    answer = ask("POST", "/value", json=furry)
    plain = ask("POST", "/value", json={"kind": "jacket", "readings": {}})
    assert plain.json["holds"] == []
    if answer.status_code == 200:
        assert answer.json["holds"]


def test_a_bad_item_does_not_keep_the_good_ones_back(ask: Ask) -> None:
    bad = {"kind": "jacket", "readings": {"cuff_buttons": "wurking", "heel_wear": "1"}}
    answer = ask("POST", "/values", json={"items": [JACKET, bad, {"kind": "jakket"}]})
    assert answer.status_code == 200
    good, wrong, unknown = answer.json["results"]
    assert good["value"]["estimate_minor"] > 0 and not good["errors"]
    assert wrong["value"] is None
    assert [one["pointer"] for one in wrong["errors"]] == [
        "#/items/1/readings/cuff_buttons",
        "#/items/1/readings/heel_wear",
    ]
    assert unknown["errors"][0]["remedy"] == "write jacket"


def test_the_faults_of_a_cell_are_those_of_a_file(ask: Ask, app: Flask) -> None:
    shop = app.extensions["resale"]
    for signal, cell in (
        ("cuff_buttons", "wurking"),
        ("stain", "seen 9"),
        ("stitch_density", "9 k"),
    ):
        file = items_from_bytes(f"kind,{signal}\njacket,{cell}\n".encode(), "x.csv", shop.book)
        sent = {"kind": "jacket", "readings": {signal: cell}}
        answer = ask("POST", "/value", json=sent)
        assert answer.status_code == 422
        (fault,) = answer.json["errors"]
        assert fault["detail"].endswith(file.problems[0].what)
        assert fault["remedy"] == file.problems[0].remedy


def test_more_items_than_the_limit_are_refused(ask: Ask) -> None:
    answer = ask("POST", "/values", json={"items": [{"kind": "bag"}] * 201})
    assert answer.status_code == 422
    assert answer.json["errors"][0]["pointer"] == "#/items"


def test_the_catalogue_is_the_one_of_the_command_line(ask: Ask) -> None:
    assert ask("GET", "/catalogue?kind=bag").json == catalogue_of(BOOK, "bag")
    assert ask("GET", "/catalogue?kind=boat").status_code == 422


def test_nothing_typed_is_not_looked_at(ask: Ask) -> None:
    blank = {"kind": "Jackets", "readings": {"cuff_buttons": "", "stain": "?"}}
    assert ask("POST", "/value", json=blank).json["looked"] == 0
