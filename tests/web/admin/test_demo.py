"""The invented shop that comes with the program."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import nursery
import pytest
from a_save import AT, a_save
from bench_forms import words_of
from running_shop import surroundings
from servers import Place, own_schema, server_address
from signed_in import Lay
from writing import save_item

from resale.config.settings import read_settings
from resale.storage.db.database import FILE_NAME, open_records
from resale.storage.items.store import item_numbered, items_count
from resale.storage.people.audit_log import audit_entries
from resale.storage.people.invented_mark import is_invented
from resale.web import create_app
from resale.web.admin.demo import NotInventedError, demo_folder, lay_out


def test_the_invented_shop_opens_with_its_items_valued_and_says_what_it_is(
    tmp_path: Path, copy_of_demo: Lay
) -> None:
    app = create_app(copy_of_demo(tmp_path), demo=True)
    shop = app.extensions["resale"]
    assert items_count(shop.records) == 200
    assert item_numbered(shop.records, "Q-03001").newest.valued.ticket > 0
    said = words_of(app.test_client().get("/items"))
    assert "200 saved" in said
    assert "Invented shop: nothing here is real." in said


def test_opening_the_invented_shop_again_fills_nothing_twice(
    tmp_path: Path, copy_of_demo: Lay
) -> None:
    app = create_app(copy_of_demo(tmp_path), demo=True)
    assert items_count(app.extensions["resale"].records) == 200


def test_a_real_shop_never_takes_the_invented_sales_for_its_own(tmp_path: Path) -> None:
    shop = create_app(tmp_path).extensions["resale"]
    assert shop.valuer.model.sales == 0
    assert shop.model_id.startswith("rules")


# ---------------------------------------------------------------- beside a real shop
def _all_rows(folder: Path) -> dict[str, int]:
    """Rows of every table, asked by Python's own sqlite3."""
    with closing(sqlite3.connect(folder / FILE_NAME)) as records:
        names = [
            row[0] for row in records.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        ]
        return {
            name: records.execute(f"SELECT count(*) FROM {name}").fetchone()[0]  # noqa: S608
            for name in names
        }


def _real_shop(folder: Path, *, toml: str = "") -> Path:
    if toml:
        folder.mkdir()
        (folder / "shop.toml").write_text(toml)
    app = create_app(folder)
    save_item(app.extensions["resale"].records, a_save("one"), AT)
    app.extensions["resale"].records.dispose()
    return folder


@pytest.mark.parametrize(
    "toml",
    [
        "invented = true\n",
        *(pytest.param(one, marks=pytest.mark.long) for one in ("", 'name = "Harrowmere Lane"\n')),
    ],
)
def test_the_demo_refuses_a_real_shop_and_leaves_it_as_it_was(tmp_path: Path, toml: str) -> None:
    """By its command, in a process of its own: a sentence, exit code 2, and not a row or file."""
    folder = _real_shop(tmp_path / "shop", toml=toml)
    rows, files = _all_rows(folder), sorted(path.name for path in folder.iterdir())
    words = ["open", "--demo", "--no-browser", "--port", "0", "--folder", str(folder)]
    ran = nursery.run(words, surroundings())
    assert ran.returncode == 2
    assert "not known to be invented" in ran.stderr and ran.stderr.count("\n") == 1
    assert _all_rows(folder) == rows and rows["item"] == 1
    assert sorted(path.name for path in folder.iterdir()) == files


def test_the_demo_refuses_a_folder_that_it_did_not_make(tmp_path: Path) -> None:
    (tmp_path / "holiday.txt").write_text("sun and sea")
    with pytest.raises(NotInventedError):
        create_app(tmp_path, demo=True)
    assert [path.name for path in tmp_path.iterdir()] == ["holiday.txt"]


def test_a_demo_that_was_killed_before_it_was_laid_out_is_laid_out_the_next_time(
    tmp_path: Path,
) -> None:
    demo_folder(tmp_path / "demo")
    open_records(tmp_path / "demo").dispose()
    demo_folder(tmp_path / "demo")
    settings = read_settings(tmp_path / "demo")
    lay_out(settings, AT)
    lay_out(settings, AT)
    records = open_records(tmp_path / "demo")
    assert is_invented(records) and len(audit_entries(records)) == 1


def test_invented_records_say_so_wherever_they_are_opened(
    tmp_path: Path, copy_of_demo: Lay
) -> None:
    """Without --demo and without the file that says it, every screen says it still."""
    place = copy_of_demo(tmp_path)
    (place / "shop.toml").unlink()
    app = create_app(place)
    assert "nothing here is real" in app.test_client().get("/").text
    assert not app.config["OPEN_DEMO"]


def test_nothing_invented_gets_into_a_schema_that_holds_something_real(tmp_path: Path) -> None:
    server_address()
    with own_schema() as schema:
        place = Place(tmp_path, schema)
        records = place.open()
        save_item(records, a_save("one"), AT)
        with pytest.raises(NotInventedError, match="not known to be invented"):
            lay_out(place.settings(), AT)
        assert items_count(records) == 1
        place.close()
