"""The commands of the Ledger: tried before loaded, fitted, taken out."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from datetime import date

import pytest
from click.testing import CliRunner
from tiny_rule_book import tiny_rule_book

from resale.cli import main as cli
from resale.config.settings import read_settings
from resale.garments.rulebook.overlay import Overlay, RuleChange, overlay_text
from resale.storage.db.database import FILE_NAME as FILE
from resale.storage.models import book_in_use
from resale.storage.models.rule_changes import FILE_NAME
from resale.storage.models.shop_prices import prices_of_shop

ROWS = """Tag,Type,Wear,Sold on,Sold for
A1,shirt,good,31/03/2025,€ 12.50
A2,boot,mint,1/4/2025,30
"""


@pytest.fixture
def run(tmp_path, monkeypatch):
    """Run a command in an empty folder of a shop with the tiny rule book."""
    book = tiny_rule_book(tmp_path / "book")
    monkeypatch.setattr(book_in_use, "load_rule_book", lambda: book)
    # The remedies that come with the program speak of signs that this book has not.
    for place in ("mending", "bound"):
        monkeypatch.setattr(f"resale.selling.mending.{place}.load_remedies", lambda _: ())
    monkeypatch.setenv("RESALE_DATA_FOLDER", str(tmp_path / "shop"))
    monkeypatch.chdir(tmp_path)
    (tmp_path / "past.csv").write_text(ROWS, encoding="utf-8")

    def command(*words):
        ran = CliRunner().invoke(cli.commands, list(words))
        ran.book = book
        return ran

    return command


def test_a_file_is_only_tried_until_it_is_to_be_loaded(run, tmp_path):
    tried = run("bring", "past.csv")
    assert tried.exit_code == 1
    assert "  type = kind (usual word) shirt -> Shirt" in tried.stdout
    assert "2 rows: 1 new past sales, 0 are known already, 1 come back." in (tried.stdout)
    assert "  wear: 'mint' in 1 rows is not known" in tried.stdout
    assert "Nothing was written; load it with --load." in tried.stdout
    assert "1 rows came back in past-came-back.csv. Row 3, column wear:" in tried.stderr
    assert "mint" in (tmp_path / "past-came-back.csv").read_text("utf-8-sig")
    loaded = run("bring", "past.csv", "--load", "--word", "wear:mint=good")
    assert "2 past sales loaded." in loaded.stdout
    again = run("bring", "past.csv", "--load")
    assert "0 past sales loaded." in again.stdout
    assert "All rows agree with the Ledger." in run("check").stdout
    with closing(sqlite3.connect(tmp_path / "shop" / FILE)) as records, records:
        records.execute("UPDATE item_now SET place = 'on_rail', amount = 7")
    found = run("check")
    assert found.exit_code == 1
    assert "A1, A2: lists show another place or price than the Ledger" in found.stderr
    assert run("check", "--mend").exit_code == 0
    assert "All rows agree" in run("check").stdout
    assert again.stdout.startswith("This file was loaded on ")


def test_prices_are_learned_from_what_was_brought_in_and_followed(run):
    run("bring", "past.csv", "--load", "--word", "wear:mint=")
    ran = run("fit", "--note", "first")
    assert ran.exit_code == 0
    assert ran.stdout.startswith("Learned from 2 sales. As they were read, they spread by about ")
    assert prices_of_shop(read_settings(), ran.book).model.sales == 2


def test_after_a_change_of_the_rules_a_file_is_priced_by_the_book_that_was_learned(run, tmp_path):
    run("bring", "past.csv", "--load", "--word", "wear:mint=")
    run("fit")
    (tmp_path / "rack.csv").write_text("kind,wear\nshirt,good\n", encoding="utf-8")
    before = run("value", "rack.csv", "--out", "-").stdout
    changed = RuleChange(
        kind="*",
        signal="wear",
        option="good",
        field="effect",
        value=1.5,
        who="Ines",
        when=date(2026, 1, 2),
        why="Made up.",
    )
    (read_settings().data_folder / FILE_NAME).write_text(overlay_text(Overlay(change=(changed,))))
    ran = run("value", "rack.csv", "--out", "-")
    assert ran.stderr.startswith("The rule book was changed since prices were last learned.")
    assert ran.stdout == before
    assert run("fit").exit_code == 0
    again = run("value", "rack.csv", "--out", "-")
    assert "changed" not in again.stderr
    assert again.stdout != before


def test_all_records_are_taken_out(run, tmp_path):
    run("bring", "past.csv", "--load", "--match", "Tag=item")
    ran = run("take-out", "out")
    assert "items.csv 1, events.csv 2" in ran.stdout
    assert len(list((tmp_path / "out").glob("records-*.zip"))) == 1


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["bring", "none.csv"], "none.csv: there is no such file; look at the name."),
        (["bring", "past.csv", "--match", "Tag"], "--match: 'Tag' has no = in it; write"),
        (["bring", "past.csv", "--word", "mint=good"], "--word: 'mint=good' names no column"),
        (["bring", "past.csv", "--match", "Tga=item"], "there is no column 'Tga'; use one of tag"),
        (["bring", "past.csv", "--first", "year"], "see 'resale bring --help'."),
        (["fit"], "Ledger: nothing sold yet, so there is nothing to learn from; record sales"),
        (["take-out", "past.csv"], "past.csv: the records cannot be written there"),
    ],
)
def test_bad_input_gets_one_sentence(run, words, sentence):
    ran = run(*words)
    assert ran.exit_code == 2
    assert sentence in ran.stderr
    assert ran.stderr.endswith(".\n")
    assert "Traceback" not in ran.output


def test_photos_are_tidied_by_a_command(run, tmp_path):
    (tmp_path / "shop" / "photos").mkdir(parents=True)
    stray = tmp_path / "shop" / "photos" / f"{'0' * 32}-full.jpg"
    stray.write_bytes(b"left by a crash")
    os.utime(stray, (0, 0))
    ran = run("tidy-photos")
    assert (ran.exit_code, ran.stdout) == (0, "0 photos removed; files without a row: 1.\n")
    assert not stray.exists()
