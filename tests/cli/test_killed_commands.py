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

import click
import pytest
from consigned_shop import ConsignedShop
from kept_shop import asked
from killed_command import run
from ledger_shop import LedgerShop
from pyarrow import parquet
from signed_in import stranger

from resale.cli.main import commands
from resale.config.settings import read_settings
from resale.garments.rulebook.rule_book import load_rule_book
from resale.services.shop import open_shop
from resale.storage.backup.catalogue import backups_in
from resale.storage.backup.verify import check_archive
from resale.storage.models.model_files import load_model
from resale.storage.people.people import add_person
from resale.storage.photos.files import SIZES, photo_path
from resale.web import create_app

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="this machine forks no process")
PAST = "Tag,Type,Sold on,Sold for\n" + "".join(
    f"P{n},shirt,{1 + n % 28:02d}/03/2025,{12 + n % 9}.50\n" for n in range(60)
)
KILLS = int(os.environ.get("RESALE_KILLS", "200"))
STOCK = "item,kind\n" + "".join(f"R{n},jacket\n" for n in range(200))
HANGS = "number,kind,ticket\n" + "".join(f"H{n},jacket,{20 + n}.00\n" for n in range(60))
PEOPLE = "number,name,share\n" + "".join(f"N-{n},Invented {n},50 %\n" for n in range(60))
SALES = "item,kind,price,sold_on\n" + "".join(
    f"L{n},shirt,{12 + n % 9}.50,2026-0{1 + n % 9}-15\n" for n in range(60)
)


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


def _kept_places(place: Path) -> object:
    """Where each item is by the rows that lists read; one of them is not what the Ledger says."""
    return asked(place / "shop", "SELECT item_id, place FROM item_now ORDER BY item_id")


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


def _text(name: str) -> Callable[[Path], object]:
    """Text of a file that a command writes; None where there is none."""

    def read(place: Path) -> object:
        return (place / name).read_bytes() if (place / name).exists() else None

    return read


def _learned(place: Path) -> object:
    """Prices learned of a file, opened as the shop opens them."""
    folder = place / "shop" / "models"
    if not (folder / "manifest.json").exists():
        return None
    return load_model(folder, load_rule_book()).sales


def _photos(place: Path) -> object:
    """Rows of photos; no row may speak of a file that is gone."""
    names = [name for (name,) in asked(place / "shop", "SELECT name FROM photo ORDER BY id")]
    for name in names:
        assert all(photo_path(place / "shop", name, size).exists() for size in SIZES), name
    return names


def _onto_a_stick(place: Path) -> list[str]:
    (place / "stick").mkdir(exist_ok=True)
    return ["keep", "--to", str(place / "stick")]


def _pieces(name: str) -> Callable[[Path], object]:
    """Rows of every piece in a folder of a chain; none may be half a file."""
    return lambda place: [
        parquet.read_metadata(path).num_rows for path in sorted((place / name).glob("*.parquet"))
    ]


def _of_the_chain(place: Path) -> object:
    folder = place / "learned" / "Mill"
    if not (folder / "manifest.json").exists():
        return None
    return load_model(folder, load_rule_book()).sales


COMMANDS = {
    "chain bring": Writing(
        lambda place: [
            *("chain", "bring", str(place / "sales.csv")),
            *("--shop", "Harbour", "--to", str(place / "brought")),
        ],
        "brought into",
        _pieces("brought"),
    ),
    "chain fit": Writing(
        lambda place: ["chain", "fit", str(place / "chain"), "--out", str(place / "learned")],
        "Prices are in",
        _of_the_chain,
    ),
    "chain value": Writing(
        lambda place: [
            *("chain", "value", str(place / "chain")),
            *("--prices", str(place / "prices"), "--out", str(place / "values")),
        ],
        "things valued",
        _pieces("values"),
    ),
    "bring": Writing(
        lambda place: ["bring", str(place / "past.csv"), "--load"],
        "past sales loaded",
        _rows("item", "event", "import_run"),
    ),
    "fit": Writing(lambda _: ["fit"], "prices follow it now", _prices),
    "keep": Writing(_onto_a_stick, "SHA-256", _whole_copies),
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
        _text("priced.csv"),
    ),
    "labels": Writing(
        lambda _: ["labels", "--call", "Nordhaus=Ulmstadt"],
        "is called",
        lambda place: asked(place / "shop", "SELECT label, count(*) FROM item GROUP BY label"),
    ),
    "device add": Writing(lambda _: ["device", "add", "Till"], "", _rows("device_token")),
    "device revoke": Writing(
        lambda _: ["device", "revoke", "1"],
        "is shut out",
        lambda place: asked(place / "shop", "SELECT id, revoked_at IS NULL FROM device_token"),
    ),
    "let-in": Writing(lambda _: ["let-in"], "/enter/", _rows("entry_link")),
    "learn": Writing(lambda place: ["learn", str(place / "sales.csv")], "Kept as", _learned),
    "tidy-photos": Writing(lambda _: ["tidy-photos"], "1 photos removed", _photos),
    "stock": Writing(
        lambda place: ["stock", str(place / "hangs.csv"), "--load"],
        "60 things are in the records",
        _rows("item", "event", "valuation"),
    ),
    "check": Writing(lambda _: ["check", "--mend"], "agree", _kept_places),
    "consignors": Writing(
        lambda place: ["consignors", str(place / "people.csv"), "--load"],
        "60 are new",
        _rows("consignor"),
    ),
    "rate": Writing(
        lambda _: ["rate", "JPY", "0.0061", "--from", "2026-01-01"],
        "1 JPY",
        _rows("exchange_rate"),
    ),
    "ordinary": Writing(
        lambda _: ["ordinary", "shirt=8-15", "jacket=20-60"],
        "an average one brings",
        _rows("rule_change"),
    ),
    "accounts owed": Writing(
        lambda _: ["accounts", "owed"],
        "All accounts together",
        lambda place: asked(place / "shop", "SELECT number, share IS NULL FROM consignor"),
    ),
    "accounts close": Writing(
        lambda _: ["accounts", "close", "2026-06-30"],
        "2 statements closed",
        _rows("statement", "stated_posting"),
    ),
    "accounts statement": Writing(
        lambda place: ["accounts", "statement", "C-1/1", "--to", str(place / "closed.pdf")],
        "Written to",
        _text("closed.pdf"),
    ),
    "accounts note": Writing(
        lambda _: ["accounts", "note", "payout", "C-1", "5.00"],
        "Noted",
        _rows("account_entry", "posting"),
    ),
}
"""Every command that writes but `open`, which test_killed.py kills."""
READERS = {"catalogue", "chain shops", "first-days", "device list", "read-label", "replay"}
# They go from shop to shop; what was broken off, the next finishes: `test_chain_commands.py`.
FINISHED_LATER = {"chain move", "chain gather", "chain hand-over"}


@pytest.fixture(scope="module")
def at_work(tmp_path_factory: pytest.TempPathFactory) -> Path:
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
            _kept_before(place)
    with shop.records.execution_options(writes=True).begin() as one:
        one.exec_driver_sql("UPDATE item SET label = 'Nordhaus', label_written = 'Nordhaus'")
        one.exec_driver_sql("UPDATE item_now SET place = 'rail' WHERE item_id = 1")
    _consigned(shop, place / "shop")
    _photographed(shop, place / "shop")
    shop.records.dispose()
    assert run(["device", "add", "Scanner", "--folder", str(place / "shop")]).code == 0
    for name, text in {
        "past": PAST,
        "stock": STOCK,
        "hangs": HANGS,
        "people": PEOPLE,
        "sales": SALES,
    }.items():
        (place / f"{name}.csv").write_text(text)
    chain = ["--folder", str(place / "shop")]
    brought = ["--shop", "Mill", "--to", str(place / "chain"), *chain]
    assert run(["chain", "bring", str(place / "sales.csv"), *brought]).code == 0
    learned = ["--out", str(place / "prices"), *chain]
    assert run(["chain", "fit", str(place / "chain"), *learned]).code == 0
    return place


def _consigned(ledger: LedgerShop, folder: Path) -> None:
    """Two consignors with something sold, one of them with a statement; a third without a share."""
    consigned = ConsignedShop(folder, ledger.records)
    for number in ("C-1", "C-2"):
        consigned.consignor(number)
        item = consigned.brings(number)
        consigned.sells(item, "03-01", 4000)
    consigned.closes("C-1", "03-31")
    consigned.sells(consigned.brings("C-1", on="04-02"), "05-01", 2500)
    consigned.consignor("C-3")
    ledger.item("06-01")


def _photographed(ledger: LedgerShop, folder: Path) -> None:
    """A photo of what was sold long ago, and one of what hangs."""
    with ledger.records.execution_options(writes=True).begin() as one:
        hangs = one.exec_driver_sql("SELECT max(id) FROM item").scalar_one()
        for item, name in ((1, "a" * 32), (hangs, "b" * 32)):
            one.exec_driver_sql(
                "INSERT INTO photo (item_id, name, digest, signal, option, width, height, by_whom, "
                "made_at, reviewed, reviewed_by) VALUES (?, ?, ?, '', '', 9, 9, 'Ottoline', "
                "'2026-01-05 12:00:00', '', '')",
                (item, name, name),
            )
            for size in SIZES:
                path = photo_path(folder, name, size)
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(b"not a real photograph")


def open_shop_now(place: Path):
    shop = open_shop(read_settings(place / "shop"))
    shop.records.dispose()
    return shop.now()


def _kept_before(place: Path) -> None:
    said = run(["keep", "--to", str(place), "--folder", str(place / "shop")])
    assert said.code == 0, said.said
    (copy,) = place.glob("copy-*.zip")
    copy.rename(place / "carried.zip")


@pytest.mark.long
@pytest.mark.parametrize("name", ["bring-back", "accounts close"])
def test_a_killed_command_leaves_the_shop_before_or_the_shop_after(
    at_work: Path, tmp_path: Path, name: str
) -> None:
    _killed(at_work, tmp_path, name, rounds=1)


def test_every_command_is_killed_or_only_reads() -> None:
    found = set(_leaves(commands, click.Context(commands)))
    assert found == {*COMMANDS, *READERS, *FINISHED_LATER, "open"}


def _leaves(group: click.Group, ctx: click.Context) -> Iterator[str]:
    """Every command that does something, by its words."""
    for name in group.list_commands(ctx):
        command = group.get_command(ctx, name)
        if isinstance(command, click.Group):
            yield from (f"{name} {one}" for one in _leaves(command, ctx))
        else:
            yield name


@pytest.mark.long
@pytest.mark.parametrize("name", COMMANDS)
def test_two_hundred_kills_of_each_command_that_writes(
    at_work: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    found = _killed(at_work, tmp_path, name, rounds=KILLS)
    with capsys.disabled():
        print(f"\n{name}: {dict(found)}", end="", file=sys.stderr)


def _killed(at_work: Path, scratch: Path, name: str, *, rounds: int) -> Counter[str]:
    """Kill a command so often; count where it stood."""
    writing, told = COMMANDS[name], Counter[str]()
    chance = random.Random(name)  # noqa: S311 - only moments are drawn
    place = _fresh(at_work, scratch)
    before = writing.sees(place)
    whole = run([*writing.words(place), "--folder", str(place / "shop")])
    assert whole.code == 0 and writing.done in whole.said, whole.said
    after = writing.sees(place)
    assert after != before, "this command changes nothing that is looked at"
    for _ in range(rounds):
        place = _fresh(at_work, scratch)
        moment = chance.uniform(0.0, 1.05 * whole.seconds)
        ended = run([*writing.words(place), "--folder", str(place / "shop")], moment)
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
