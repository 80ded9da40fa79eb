"""A shop's stock, past and consignors go out as files, and an empty shop that reads them agrees."""

from __future__ import annotations

import zipfile
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner
from sqlalchemy import text

from resale.cli.main import commands
from resale.config.settings import read_settings
from resale.services.actor import Actor
from resale.services.items.entry import entry_from_inputs
from resale.services.items.save_item import save_item
from resale.services.on_hand.lines import rail_of
from resale.services.settlement.consigned import bring_items
from resale.services.shop import Shop, open_shop
from resale.storage.items.store import item_numbered
from resale.storage.ledger.brought import lives_of
from resale.storage.ledger.consignors import consignors, save_consignor
from resale.storage.ledger.day_book import day_book
from resale.storage.ledger.ledger import items_on_hand
from resale.web import create_app

pytestmark = pytest.mark.long
FILES = ("stock.csv", "past.csv", "consignors.csv")


def run(*words: object):
    return CliRunner().invoke(commands, [str(word) for word in words])


BESIDE = {
    "tape": "52 cm",
    "care": "Handwäsche, nicht bleichen; non asciugare in asciugatrice",
    "note": "from the blue bag, " + "with a long story " * 20 + "to it",
}


def with_consignors(shop: Shop) -> None:
    """Let two people, one of them without a name, have brought some of the stock; one thing of it
    has its tape, its care label and a long note besides."""
    standing = [one.number for one in items_on_hand(shop.records)][:30]
    item = item_numbered(shop.records, standing[0])
    entry = entry_from_inputs(shop.kind(item.kind), item.newest.inputs, item.number)
    save_item(shop, Actor("Lead", "lead"), replace(entry, **BESIDE), shop.here())
    for number, name, items in (("C-7", "Ann Ember", standing[:10]), ("", "", standing[10:])):
        own = save_consignor(shop.records, number, name, shop.here())
        bring_items(shop, Actor("Lead", "lead"), own, items, shop.here())
    shop.records.dispose()


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory, copy_of_demo: Callable[[Path], Path]):
    """The invented shop, and another that knows of it what three files say."""
    place = tmp_path_factory.mktemp("anew")
    with_consignors(create_app(copy_of_demo(place / "old"), demo=True).extensions["resale"])
    taken = run("take-out", place / "out", "--folder", place / "old")
    assert taken.exit_code == 0, taken.output
    with zipfile.ZipFile(next((place / "out").glob("*.zip"))) as archive:
        for name in FILES:
            archive.extract(name, place)
    (place / "new").mkdir()
    for command, name in (("consignors", FILES[2]), ("bring", FILES[1]), ("stock", FILES[0])):
        ran = run(command, place / name, "--load", "--folder", place / "new")
        assert ran.exit_code == 0, ran.output
    old, new = (open_shop(read_settings(place / name)) for name in ("old", "new"))
    yield old, new, place
    old.records.dispose()
    new.records.dispose()


def test_everything_on_hand_stands_where_it_stood_at_the_same_ticket(both):
    old, new, _ = both
    standing = [
        {
            (one.number, one.kind, one.label, one.size, one.state.where, one.state.ticket)
            for one in items_on_hand(shop.records)
        }
        for shop in (old, new)
    ]
    assert standing[0] == standing[1] and len(standing[0]) > 100


def test_tape_care_and_note_come_back_to_the_letter(both):
    number = items_on_hand(both[0].records)[0].number
    for shop in both[:2]:
        inputs = item_numbered(shop.records, number).newest.inputs
        assert {name: inputs[name] for name in BESIDE} == BESIDE


def test_past_sales_have_the_same_totals(both):
    old, new, _ = both

    def totals(shop: Shop):
        sums = day_book(shop.records, date(2020, 1, 1), date(2030, 1, 1), "EUR").sums
        kinds = "SELECT kind, count(*) FROM item GROUP BY kind ORDER BY kind"
        with shop.records.connect() as one:
            return sums.net, one.execute(text(kinds)).all()

    gone = totals(old)[1]
    assert totals(old)[0] == totals(new)[0] > 0
    passed_on = Counter(dict(gone)) - Counter(dict(totals(new)[1]))
    with old.records.connect() as one:
        count = one.execute(text("SELECT count(*) FROM event WHERE what = 'passed_on'")).scalar()
    assert passed_on.total() <= count


def test_consignors_have_what_they_brought(both):
    old, new, _ = both
    listed = [[(one.number, one.name) for one in consignors(shop.records)] for shop in (old, new)]
    assert listed[0] == listed[1]
    for number, _ in listed[0]:
        on_hand = [
            {
                life.number
                for life in lives_of(shop.records, number)
                if life.state.where in ("back_room", "on_rail")
            }
            for shop in (old, new)
        ]
        assert on_hand[0] == on_hand[1]


def test_the_rail_says_the_same_of_what_hangs(both):
    old, new, _ = both
    today = old.here().date()
    tickets = [
        {line.number: line.price for line in rail_of(shop, today).lines if line.written}
        for shop in (old, new)
    ]
    assert tickets[0] == tickets[1]


def test_a_second_time_brings_nothing(both):
    place = both[2]
    ran = run("stock", place / "stock.csv", "--load", "--folder", place / "new")
    assert ran.exit_code == 0 and "0 things are in the records now" in ran.output
    ran = run("consignors", place / "consignors.csv", "--load", "--folder", place / "new")
    assert "0 are new" in ran.output


def test_a_thing_of_nobody_known_comes_back_and_all_or_nothing_comes_in(both, tmp_path):
    _, _, place = both
    path = tmp_path / "more.csv"
    path.write_text("Nr;Artikel;Preis;Kommittent\nX-1;Herrensakko;38,00;C-9999\n")
    ran = run("stock", path, "--match", "Preis=ticket", "--folder", place / "new")
    assert ran.exit_code == 1
    assert "no consignor 'C-9999'" in ran.stderr
    assert "bring consignors in first" in (tmp_path / "more-came-back.csv").read_text("utf-8-sig")
