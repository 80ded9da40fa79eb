"""A command that is killed did all of what it does, or nothing; the next start sees to the rest.

Each command that writes is run once to its end, so that it is known how long it takes and what the
shop is afterwards. Then it is killed at a random moment, again and again, in a fresh copy of the
shop: what is there is then what was there before, or what was there after. If the command said
that it was done, it is the second. This kills programs; against a pulled plug see test_killed.py.
"""

from __future__ import annotations

import os
import random
import shutil
import sys
import zipfile
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from kept_shop import asked
from killed_command import Nursery, nursery
from ledger_shop import LedgerShop
from signed_in import stranger

from resale.config.settings import read_settings
from resale.services.shop import open_shop
from resale.storage.backup.catalogue import backups_in
from resale.storage.backup.verify import check_archive
from resale.storage.people.people import add_person
from resale.web import create_app

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="this machine forks no process")
PAST = "Tag,Type,Sold on,Sold for\n" + "".join(
    f"P{n},shirt,{1 + n % 28:02d}/03/2025,{12 + n % 9}.50\n" for n in range(60)
)
STOCK = "item,kind\n" + "".join(f"R{n},jacket\n" for n in range(200))


@dataclass(frozen=True)
class Writing:
    """A command that writes.

    Attributes
    ----------
    words : function of the round's folder
    done : str
        What it says last when it is done.
    sees : function of the round's folder
        What of the shop the command changes, in a form that can be compared.
    """

    words: Callable[[Path], list[str]]
    done: str
    sees: Callable[[Path], object]


def _rows(*tables: str) -> Callable[[Path], object]:
    queries = [f"SELECT count(*) FROM {table}" for table in tables]  # noqa: S608 - our own names
    return lambda place: [asked(place / "shop", query) for query in queries]


def _prices(place: Path) -> object:
    """How often prices were learned and taken into use, and whether those in use can be read."""
    shop = open_shop(read_settings(place / "shop"))
    told = (_rows("model_run", "model_switch")(place), shop.fallback, shop.valuer.model.sales)
    shop.records.dispose()
    return told


def _whole_copies(place: Path) -> object:
    return [check_archive(one.path).counts["item"] for one in backups_in(place / "stick")]


def _archives(place: Path) -> object:
    return [zipfile.ZipFile(one).testzip() for one in (place / "out").glob("*.zip")]


def _lines(place: Path) -> object:
    out = place / "priced.csv"
    return len(out.read_text().splitlines()) if out.exists() else 0


COMMANDS = {
    "bring": Writing(
        lambda place: ["bring", str(place / "past.csv"), "--load"],
        "past sales loaded",
        _rows("item", "event", "import_run"),
    ),
    "fit": Writing(lambda _: ["fit"], "prices follow it now", _prices),
    "keep": Writing(lambda place: ["keep", "--to", str(place / "stick")], "SHA-256", _whole_copies),
    "bring-back": Writing(
        lambda place: ["bring-back", str(place / "carried.zip")], "Brought back", _rows("item")
    ),
    "settings": Writing(
        lambda _: ["settings", "wage", "31.5"],
        "it was",
        lambda place: read_settings(place / "shop").wage,
    ),
    "take-out": Writing(lambda place: ["take-out", str(place / "out")], "Written to", _archives),
    "value": Writing(
        lambda place: ["value", str(place / "stock.csv"), "--out", str(place / "priced.csv")],
        "priced",
        _lines,
    ),
    "labels": Writing(
        lambda _: ["labels", "--call", "Nordhaus=Ulmstadt"],
        "is called",
        lambda place: asked(place / "shop", "SELECT label, count(*) FROM item GROUP BY label"),
    ),
    "device": Writing(lambda _: ["device", "add", "Till"], "", _rows("device_token")),
    "let-in": Writing(lambda _: ["let-in"], "/enter/", _rows("entry_link")),
}
"""Every command that writes but `open`, which test_killed.py kills, `learn`, which writes files
beside the shop, and `tidy-photos`, which `open` does by itself."""


@pytest.fixture(scope="module")
def nursed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Nursery]:
    with nursery(tmp_path_factory.mktemp("nursery")) as found:
        yield found


@pytest.fixture(scope="module")
def at_work(tmp_path_factory: pytest.TempPathFactory, nursed: Nursery) -> Path:
    """A folder with a shop that has sold, a copy of it from before, and files to bring."""
    place = tmp_path_factory.mktemp("killed")
    (place / "shop").mkdir()
    shop = LedgerShop(place / "shop")
    for n in range(24):
        choices = {"cuff_buttons": "working" if n % 2 else "none"}
        number = shop.item("01-02", kind="jacket", choices=choices)
        shop.happens(number, "put_out", "01-03", 9000 if n % 2 else 2000)
        shop.happens(number, "sold", "02-03", (9000 if n % 2 else 2000) + 10 * n)
        if n == 11:
            add_person(shop.records, "Ottoline", "owner", open_shop_now(place))
            _kept_before(nursed, place)
    with shop.records.execution_options(writes=True).begin() as one:
        one.exec_driver_sql("UPDATE item SET label = 'Nordhaus', label_written = 'Nordhaus'")
    shop.records.dispose()
    (place / "past.csv").write_text(PAST)
    (place / "stock.csv").write_text(STOCK)
    return place


def open_shop_now(place: Path):
    shop = open_shop(read_settings(place / "shop"))
    shop.records.dispose()
    return shop.now()


def _kept_before(nursed: Nursery, place: Path) -> None:
    said = nursed.run(["keep", "--to", str(place), "--folder", str(place / "shop")])
    assert said.code == 0, said.said
    (copy,) = place.glob("copy-*.zip")
    copy.rename(place / "carried.zip")


def test_a_copy_brought_back_and_killed_leaves_the_one_shop_or_the_other(
    at_work: Path, nursed: Nursery, tmp_path: Path
) -> None:
    _killed(nursed, at_work, tmp_path, "bring-back", rounds=2)


@pytest.mark.long
def test_two_hundred_kills_of_all_commands_that_write(
    at_work: Path, nursed: Nursery, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = {
        name: _killed(nursed, at_work, tmp_path / name, name, rounds=200 // len(COMMANDS))
        for name in COMMANDS
    }
    with capsys.disabled():
        for name, found in told.items():
            print(f"\n{name}: {dict(found)}", end="", file=sys.stderr)


def _killed(
    nursed: Nursery, at_work: Path, scratch: Path, name: str, *, rounds: int
) -> Counter[str]:
    """Kill a command so often; count where it stood."""
    writing, told = COMMANDS[name], Counter[str]()
    chance = random.Random(name)  # noqa: S311 - only moments are drawn
    place = _fresh(at_work, scratch)
    before = writing.sees(place)
    whole = nursed.run([*writing.words(place), "--folder", str(place / "shop")])
    assert whole.code == 0 and writing.done in whole.said, whole.said
    after = writing.sees(place)
    assert after != before, "this command changes nothing that is looked at"
    for _ in range(rounds):
        place = _fresh(at_work, scratch)
        moment = chance.uniform(0.0, 1.05 * whole.seconds)
        ended = nursed.run([*writing.words(place), "--folder", str(place / "shop")], moment)
        _starts_clean(place / "shop")
        found = writing.sees(place)
        assert found in (before, after), (moment, found)
        if ended.code == 0:
            assert found == after, ended.said
        told["done" if ended.code == 0 else "all" if found == after else "nothing"] += 1
    return told


def _fresh(at_work: Path, scratch: Path) -> Path:
    place = scratch / "place"
    shutil.rmtree(place, ignore_errors=True)
    shutil.copytree(at_work, place)
    return place


def _starts_clean(folder: Path) -> None:
    """Open the shop as the command does, without a hand in between, and look at its file."""
    app = create_app(folder)
    assert stranger(app).get("/sign-in").status_code == 200
    app.extensions["resale"].records.dispose()
    assert asked(folder, "PRAGMA integrity_check") == [("ok",)]
    assert asked(folder, "PRAGMA foreign_key_check") == []
    assert len(asked(folder, "SELECT id FROM item")) >= 12
