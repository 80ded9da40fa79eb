"""Nothing gets a ticket before it was looked over, by any way in: bench, device, file, rail."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from bench_forms import new_form, words_of
from click.testing import CliRunner
from flask import Flask
from looked_over import answers
from rail_shop import RailShop, clients_words

from resale.cli.main import commands
from resale.garments.rulebook.rule_book import load_rule_book
from resale.safety.required_looks import required_looks
from resale.storage.items.store import item_numbered

FEW = ("jacket", "shoes", "child", "down", "linen")
KINDS = [
    kind if kind in FEW else pytest.param(kind, marks=pytest.mark.long)
    for kind in load_rule_book().kinds
]
SAID = "not looked at yet"


@pytest.fixture
def rail(app: Flask, monkeypatch: pytest.MonkeyPatch) -> RailShop:
    return RailShop(app, monkeypatch)


@pytest.mark.parametrize("kind", KINDS)
def test_an_untouched_save_is_not_ready_and_gets_no_ticket(rail: RailShop, kind: str) -> None:
    number = rail.save(kind, looked=False)
    page = clients_words(rail.client, "/rail?state=all")
    assert "Look first 1" in page and "Ready 0" in page
    plan = clients_words(rail.client, f"/rail/{number}")
    assert "Open it on the bench" in plan and "Set the price by hand" not in plan
    priced = rail.post(f"/rail/{number}/price", price="20", reason="because")
    assert priced.status_code == 422 and "it was not looked over" in words_of(priced)
    for path, more in (
        ("/rail/out", {"pick": number}),
        (f"/rail/ticket/{number}", {"price": "20"}),
        ("/ledger", {"what": "sold", "number": number, "amount": "20"}),
    ):
        rail.post(path, **more)
        assert rail.what_happened(number) == [("taken_in", None)], path


@pytest.mark.parametrize("kind", KINDS)
def test_a_plain_item_is_ready_after_one_tap_and_the_child_question(
    rail: RailShop, kind: str
) -> None:
    number = rail.save(kind)
    assert rail.post("/rail/out", pick=[number]).status_code == 303
    assert [what for what, _ in rail.what_happened(number)] == ["taken_in", "ticketed", "put_out"]


def test_one_tap_stores_each_answer_and_who_gave_it(rail: RailShop) -> None:
    fields = new_form(rail.client)
    page = rail.client.post("/bench/shirt/nothing-found", data=fields).text
    assert 'name="k-look_pockets" value="nothing" checked' in page
    assert 'name="k-look_child" value="no" checked' not in page
    number = rail.save("shirt")
    kept = item_numbered(rail.shop.records, number).newest.inputs
    asked = {one.id for one in required_looks(load_rule_book().kinds["shirt"], kept)}
    assert asked <= set(kept["looks_by"]) and set(kept["looks_by"].values()) != {""}


def test_the_bench_names_what_is_missing(rail: RailShop) -> None:
    words = words_of(rail.client.get("/bench/jacket"))
    assert "Not ready." in words and "Still to look at:" in words
    assert "For a child?" in words
    assert "Ready to ticket" not in words


def test_a_childs_anorak_with_a_hood_cord_waits_although_no_child_was_tapped(
    rail: RailShop,
) -> None:
    """The review's case: size 'age 5', the cord in the note."""
    fields = new_form(rail.client)
    signs, looks = answers("jacket", {})
    data = {**fields, "size": "age 5", "note": "hood cord"}
    data |= {f"s-{name}": answer for name, answer in signs.items()}
    data |= {f"k-{name}": answer for name, answer in looks.items()}
    number = rail.client.post("/bench/jacket/save", data=data).location.split("=")[-1]
    rail.post("/rail/out", pick=[number])
    assert rail.what_happened(number) == [("taken_in", None)]
    assert "Children’s thing with a cord" in clients_words(rail.client, f"/held/{number}").replace(
        "'", "’"
    )


def test_a_costly_label_is_not_ready_before_the_make_was_doubted(rail: RailShop) -> None:
    signs, looks = answers("jacket", {"label_standing": "luxury"})
    assert {"look_maker", "look_second"} <= set(looks)
    fields = new_form(rail.client)
    data = {**fields, "s-label_standing": "luxury"}
    data |= {f"s-{name}": answer for name, answer in signs.items()}
    data |= {f"k-{n}": a for n, a in looks.items() if n not in {"look_maker", "look_second"}}
    number = rail.client.post("/bench/jacket/save", data=data).location.split("=")[-1]
    rail.post("/rail/out", pick=[number])
    assert rail.what_happened(number) == [("taken_in", None)]


def test_a_file_says_what_holds_a_row_and_what_to_look_at(tmp_path: Path) -> None:
    signs, looks = answers("jacket", {})
    plain = {"item": "plain", "kind": "jacket", **signs, **looks}
    rows = [
        plain,
        {"item": "bare", "kind": "jacket"},
        {**plain, "item": "mink", "fibre_shell": "100% wool; trim: 100% mink"},
        {**plain, "item": "needle", "note": "needle in pocket"},
    ]
    file = tmp_path / "rack.csv"
    with file.open("w", encoding="utf-8", newline="") as stream:
        table = csv.DictWriter(stream, [*plain, "fibre_shell", "note"], restval="")
        table.writeheader()
        table.writerows(rows)
    done = CliRunner().invoke(commands, ["value", str(file), "--rules-only"])
    assert done.exit_code == 0, done.output
    with (tmp_path / "rack-valued.csv").open(encoding="utf-8-sig", newline="") as stream:
        said = {row["item"]: row for row in csv.DictReader(stream)}
    assert said["plain"]["holds"] == "" == said["plain"]["look_first"]
    assert "For a child?" in said["bare"]["look_first"]
    assert "Fur" in said["mink"]["holds"]
    assert said["needle"]["holds"] == "Sharp thing in it"
