"""The commands of a chain's desk: side by side, moved, and killed in the middle of moving."""

from __future__ import annotations

import csv
import os
import random
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from a_save import a_save
from click.testing import CliRunner
from killed_command import run
from writing import save_items

from resale.cli.main import commands
from resale.config.settings import read_settings
from resale.services.shop import open_shop
from resale.storage.db.database import FILE_NAME

KILLS = int(os.environ.get("RESALE_KILLS", "200"))


@pytest.fixture
def place(tmp_path: Path, empty_records: Path) -> Path:
    """Harbour with two jackets, and Mill with none."""
    for name in ("harbour", "mill"):
        folder = tmp_path / name
        folder.mkdir()
        shutil.copy(empty_records, folder)
        others = 'other_shops = ["../mill"]\n' if name == "harbour" else ""
        own = f'name = "{name.title()}"\n{others}'
        (folder / "shop.toml").write_text(own, encoding="utf-8")
    shop = open_shop(read_settings(tmp_path / "harbour"))
    save_items(shop.records, [a_save("key-1"), a_save("key-2")], shop.here())
    shop.records.dispose()
    return tmp_path


def _run(place: Path, *words: str, code: int = 0, shop: str = "harbour") -> str:
    found = CliRunner().invoke(commands, ["chain", *words, "--folder", str(place / shop)])
    assert found.exit_code == code, found.output
    return found.output


def _asked(place: Path, name: str, query: str) -> list[tuple]:
    with closing(sqlite3.connect(place / name / FILE_NAME)) as records:
        return records.execute(query).fetchall()


def test_shops_are_told_and_written_as_a_file(place: Path) -> None:
    out = place / "shops.csv"
    said = _run(place, "shops", "--out", str(out))
    assert "Harbour: 2 on hand, 0 on the rail; 0 sold" in said
    assert "Mill: 0 on hand" in said
    rows = list(csv.DictReader(out.read_text("utf-8-sig").splitlines()))
    assert [(row["shop"], row["on_hand"], row["currency"]) for row in rows] == [
        ("Harbour", "2", "EUR"),
        ("Mill", "0", "EUR"),
    ]
    shutil.rmtree(place / "mill")
    assert "no such folder" in _run(place, "shops", code=1)


def test_things_are_moved_by_their_numbers(place: Path) -> None:
    words = ("move", "Q-00001", "Q-00007", "--from", "Harbour", "--to", "mill")
    said = _run(place, *words, code=1)
    assert "Q-00001 is Q-00001 at Mill." in said
    assert "no item 'Q-00007' is saved" in said
    assert _asked(place, "mill", "SELECT place FROM item_now") == [("back_room",)]
    alone = CliRunner().invoke(commands, ["chain", *words, "--folder", str(place / "mill")])
    assert (alone.exit_code, "this shop knows of no others" in alone.output) == (2, True)


@pytest.mark.long
def test_killed_at_any_moment_a_thing_is_in_one_shop_once_it_is_moved_again(
    place: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    scratch = tmp_path_factory.mktemp("killed")
    chance = random.Random("move")  # noqa: S311 - only moments are drawn
    between = 0

    def move(folder: Path, after: float | None = None):
        words = ["chain", "move", "Q-00001", "--from", "Harbour", "--to", "Mill"]
        return run([*words, "--folder", str(folder / "harbour")], after)

    def fresh() -> Path:
        shutil.rmtree(scratch / "place", ignore_errors=True)
        return Path(shutil.copytree(place, scratch / "place"))

    whole = move(fresh())
    assert whole.code == 0, whole.said
    for _ in range(KILLS):
        folder = fresh()
        move(folder, chance.uniform(0.0, 1.05 * whole.seconds))
        on_hand = sum(_on_hand(folder, name) for name in ("harbour", "mill"))
        assert on_hand in (0, 1)
        between += on_hand == 0
        assert move(folder).code == 0
        assert (_on_hand(folder, "harbour"), _on_hand(folder, "mill")) == (0, 1)
        assert len(_asked(folder, "mill", "SELECT id FROM item")) == 1
    print(f"{KILLS} kills, {between} of them between both shops")


def _on_hand(folder: Path, name: str) -> int:
    """How often the thing that is moved is on hand in a shop."""
    wanted = "item_id = 1 AND" if name == "harbour" else ""
    query = f"SELECT count(*) FROM item_now WHERE {wanted} place IN ('back_room', 'on_rail')"  # noqa: S608
    return int(_asked(folder, name, query)[0][0])
