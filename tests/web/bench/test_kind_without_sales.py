"""A kind of which nothing sold, in a shop whose prices were learned from others: from the first
screen to the till, and on every screen that lists kinds. And how a kind is found among many."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest
from flask import Flask
from rail_shop import RailShop, clients_words

from resale.garments.rulebook.rule_book import load_rule_book
from resale.web import create_app
from resale.web.bench.kinds import SHOWN, kinds_shown

KIND, SOUND = "rainwear", {"membrane_state": "sound", "label_standing": "premium"}
PAGES = (
    "/",
    "/rail?state=all",
    "/rules",
    f"/rules/{KIND}",
    "/drill",
    "/ledger",
    "/items",
    "/rules/ordinary",
)


# What no kind fits is offered beside them, and is no kind.
UNSORTED = 'data-kind-link="unsorted"'


def offered(text: str) -> int:
    return text.count("data-kind-link") - text.count(UNSORTED)


@pytest.fixture(scope="module")
def demo(
    tmp_path_factory: pytest.TempPathFactory, copy_of_demo: Callable[[Path], Path]
) -> Iterator[Flask]:
    app = create_app(copy_of_demo(tmp_path_factory.mktemp("kinds")), demo=True)
    yield app
    app.extensions["resale"].records.dispose()


def test_it_goes_from_the_bench_to_the_till(demo: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    rail = RailShop(demo, monkeypatch, day=date(2026, 11, 2))
    assert rail.shop.valuer.model.tables[KIND].sold == 0
    assert rail.shop.fallback is None
    number = rail.save(KIND, "L", **SOUND)
    said = clients_words(rail.client, f"/items/{number}")
    assert "no sales of rainwear yet" in said.lower()
    assert rail.post("/rail/out", pick=[number]).status_code == 303
    steps = rail.what_happened(number)
    assert [what for what, _ in steps] == ["taken_in", "ticketed", "put_out"]
    ticket = steps[1][1]
    assert ticket is not None
    sold = rail.post(f"/ledger/item/{number}", what="sold", amount=f"{ticket / 100:.2f}")
    assert sold.status_code == 303
    assert rail.what_happened(number)[-1] == ("sold", ticket)
    for page in PAGES:
        assert rail.client.get(page, follow_redirects=True).status_code == 200, page


def test_every_kind_is_priced_by_a_device(demo: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    shop = RailShop(demo, monkeypatch, day=date(2026, 11, 2)).shop
    for kind in shop.book.kinds.values():
        table = shop.valuer.model.tables[kind.id]
        assert 0.5 < table.anchor / kind.text.anchor < 2


def test_the_kinds_that_a_shop_sees_most_stand_first(demo: Flask) -> None:
    text = demo.test_client().get("/").text
    first, more = text.split('class="more-kinds"')
    for kind in ("bag", "jacket", "shirt", "shoes", "trousers"):
        assert f'data-kind-link="{kind}"' in first
    assert offered(first) == SHOWN
    assert offered(first) + offered(more) == len(load_rule_book().kinds)


@pytest.mark.parametrize(
    ("typed", "kind"),
    [
        ("anorak", "rainwear"),
        ("PŁASZCZ", "coat"),
        ("daunen", "down"),
        ("kilt", "skirt"),
        ("jupe", "skirt"),
        ("jump", "knitwear"),
        ("hoodie", "top"),
    ],
)
def test_what_is_typed_finds_its_kind_without_a_script(demo: Flask, typed: str, kind: str) -> None:
    text = demo.test_client().get("/", query_string={"find": typed}).text
    assert f'data-kind-link="{kind}"' in text
    assert offered(text) <= 3


def test_a_word_of_no_kind_says_what_to_do(demo: Flask) -> None:
    answer = demo.test_client().get("/", query_string={"find": "zeppelin"})
    assert "No kind goes by that word" in answer.text
    assert offered(answer.text) == 0 and UNSORTED in answer.text


def test_a_new_shop_is_offered_what_mostly_comes_in() -> None:
    kinds = load_rule_book().kinds.values()
    assert kinds_shown(kinds, {}).first[0].id == "top"
    assert kinds_shown(kinds, {"bag": 1}).first[0].id == "bag"


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("cashmere cardigan", "knitwear"),
        ("down coat", "down"),
        ("navy striped silk tie", "tie"),
        ("czarna sukienka", "dress"),
        ("pair of curtains", "linen"),
        ("childs anorak", "child"),
        ("suit", "jacket"),
        ("suitc", "bag"),
        ("twinset", "knitwear"),
    ],
)
def test_a_cloth_or_a_colour_typed_with_it_hides_no_kind(typed, first):
    found = [kind.id for kind in kinds_shown(load_rule_book().kinds.values(), {}, typed).first]
    assert found[0] == first


def test_words_that_no_kind_goes_by_find_none():
    assert kinds_shown(load_rule_book().kinds.values(), {}, "zzyzx gluggl").first == ()
