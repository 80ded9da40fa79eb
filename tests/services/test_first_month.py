"""A first day by command in an empty folder, and a month by the use cases: the same balance in the
end, here and where a copy is brought back. The long way through the screens is in
`tests/screens/test_first_day_in_chromium.py`."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner
from first_day import PEOPLE, STOCK, TICKETS, WORDS, past

from resale.cli.main import commands
from resale.config.settings import read_settings
from resale.services.actor import Actor
from resale.services.ledger.write_event import write_event
from resale.services.on_hand.lines import rail_of
from resale.services.settings.first_days import first_days
from resale.services.settlement.owed import NewPayments, accounts_now, due_to, pay
from resale.services.settlement.papers import statement_closed, statement_file
from resale.services.settlement.statements import close_all
from resale.services.shop import Shop, open_shop
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.price_periods import stretches

LEAD = Actor("Ottoline", "owner")


def run(*words: object, ends: int = 0) -> str:
    ran = CliRunner().invoke(commands, [str(word) for word in words])
    assert ran.exit_code == ends, ran.output
    return ran.output


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder, and beside it the files that an owner carries in."""
    monkeypatch.delenv("RESALE_OPENING_PRICES_HOLD", raising=False)
    (tmp_path / "shop").mkdir()
    (tmp_path / "past.csv").write_bytes(past().content)
    (tmp_path / "people.csv").write_text(PEOPLE, "utf-8")
    (tmp_path / "stock.csv").write_text(STOCK, "utf-8")
    return tmp_path


def next_step(place: Path) -> str:
    lines = run("first-days", "--folder", place / "shop").splitlines()
    return next(line for line in lines if line.startswith("next"))


def first_day(place: Path) -> None:
    """Each command is the one that the shop asks for next."""
    folder = ("--folder", place / "shop")
    words = [part for word, kind in WORDS.items() for part in ("--word", f"kind:{word}={kind}")]
    # The total beneath the rows is no sale: it comes back, and the command says so.
    run("bring", place / "past.csv", "--load", *words, *folder, ends=1)
    assert "resale fit" in next_step(place)
    run("fit", *folder)
    assert "resale consignors" in next_step(place)
    run("consignors", place / "people.csv", "--load", *folder)
    assert "resale stock" in next_step(place)
    assert "preis = ticket" in run("stock", place / "stock.csv", "--load", *folder)
    assert "resale ordinary" in next_step(place)
    assert "resale fit" in run("ordinary", "dress=12-40", *folder)
    run("fit", *folder)
    # What a price means in a list of stock is not carried into the next file of sales.
    again = place / "again.csv"
    again.write_text("Datum;Artikel;Preis\n03.02.2025;Hemd;9,00\n", "utf-8")
    assert "1 new past sales" in run("bring", again, *folder)


def happens(shop: Shop, number: str, what: str, on: date, amount: int | None = None) -> None:
    at = datetime.combine(on, datetime.min.time()).astimezone()
    new = NewEvent(number, what, on, f"{number}-{what}-{on}", amount)
    write_event(shop, LEAD, new, at)


def test_a_first_month_ends_with_the_same_balance_here_and_elsewhere(place: Path) -> None:
    first_day(place)
    shop = open_shop(read_settings(place / "shop"))
    day = shop.here().date()
    # The shop's own tickets stand, none is due, and no day before counts as a day of hanging.
    lines = rail_of(shop, day).numbered()
    assert {number: lines[number].price for number in TICKETS} == TICKETS
    assert not any(line.due for line in lines.values())
    assert {one.days for one in stretches(shop.records, day) if one.item > 70} == {0.5}
    for number in ("A-1", "A-3"):
        happens(shop, number, "sold", day, TICKETS[number])
    happens(shop, "A-3", "returned", day + timedelta(2), TICKETS["A-3"])
    happens(shop, "A-3", "sold", day + timedelta(3), TICKETS["A-3"])
    end, after = day + timedelta(4), day + timedelta(6)
    at = datetime.combine(after, datetime.min.time()).astimezone()
    # By hand: a half of 41.00, and 60 % of 12.00.
    assert [due_to(shop, number).owed for number in ("C-1", "C-2")] == [2050, 720]
    closed = close_all(shop, LEAD, end, at)
    pay(shop, LEAD, NewPayments(["C-1", "C-2"], "transfer", after, "paid"), at)
    happens(shop, "A-1", "returned", after, TICKETS["A-1"])
    assert [due_to(shop, number).owed for number in ("C-1", "C-2")] == [-2050, 0]
    books, papers = accounts_now(shop), [statement_file(one) for one in closed]
    assert sum(books.values()) == 0 and len(papers) == 2
    shop.records.dispose()
    (place / "stick").mkdir()
    run("keep", "--folder", place / "shop", "--to", place / "stick")
    (copy,) = (place / "stick").glob("*.zip")
    run("bring-back", copy, "--folder", place / "elsewhere")
    other = open_shop(read_settings(place / "elsewhere"))
    assert accounts_now(other) == books
    kept = [(one.consignor.number, one.serial) for one in closed]
    assert [statement_file(statement_closed(other, *one)) for one in kept] == papers
    left = first_days(other)
    assert left is None or (left.next_step is not None and left.next_step.id == "copy")
    other.records.dispose()
