"""Everything is taken out to open formats, with a manifest that vouches for it."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import zipfile
from datetime import timedelta

import pytest
from a_save import AT, a_save
from ledger_shop import NOON, LedgerShop
from tiny_rule_book import tiny_rule_book
from writing import fit_from_ledger, save_item

from resale.storage.backup.export import NotTakenOutError, take_out


@pytest.fixture
def shop(records):
    return LedgerShop(records)


@pytest.fixture
def settings(place):
    return place.settings()


def files_of(path):
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def rows_of(content):
    return list(csv.DictReader(io.StringIO(content.decode())))


def test_all_that_was_saved_is_in_the_files(shop, settings, tmp_path):
    save_item(shop.records, a_save(), AT)
    number = shop.item()
    sale = shop.happens(number, "sold", "02-01", 900, note="cash", by="Ann")
    shop.happens(number, "corrected", "02-02", 950, corrects=sale)
    out = take_out(shop.records, settings, tmp_path / "out", NOON)
    files = files_of(out.path)
    events = rows_of(files["events.csv"])
    assert [(row["item"], row["what"], row["amount"]) for row in events[-3:]] == [
        (number, "taken_in", ""),
        (number, "sold", "900"),
        (number, "corrected", "950"),
    ]
    assert (events[-2]["note"], events[-2]["by_whom"], events[-1]["corrects"]) == (
        "cash",
        "Ann",
        str(sale),
    )
    valued = a_save().valued
    valuation = rows_of(files["valuations.csv"])[0]
    assert [valuation[name] for name in ("estimate", "low", "ticket")] == [
        str(valued.estimate),
        str(valued.low),
        str(valued.ticket),
    ]
    assert [(row["signal"], row["rule_money"]) for row in rows_of(files["shares.csv"])] == [
        (row.signal, str(row.rule_money)) for row in valued.contributions
    ]
    assert rows_of(files["answers.csv"])[0]["said"] == "working"
    assert out.counts["items.csv"] == 2


def test_the_manifest_vouches_for_every_file(shop, settings, tmp_path):
    shop.item()
    files = files_of(take_out(shop.records, settings, tmp_path, NOON).path)
    manifest = json.loads(files.pop("manifest.json"))
    assert {one["name"]: one["sha256"] for one in manifest["files"]} == {
        name: hashlib.sha256(content).hexdigest() for name, content in files.items()
    }
    assert (manifest["currency"], manifest["decimals"], manifest["invented"]) == ("EUR", 2, False)


def test_text_that_starts_a_formula_is_guarded(shop, settings, tmp_path):
    save_item(shop.records, a_save(note="=HYPERLINK(1)", label="@maker"), AT)
    files = files_of(take_out(shop.records, settings, tmp_path, NOON).path)
    item = rows_of(files["items.csv"])[0]
    assert (item["note"], item["label"]) == ("'=HYPERLINK(1)", "'@maker")


def test_a_fitted_model_is_listed_with_its_manifest(shop, settings, tmp_path):
    book = tiny_rule_book(tmp_path / "book")
    shop.happens(shop.item(), "sold", "02-01", 900)
    found = fit_from_ledger(shop.records, book, settings, NOON, note="first")
    files = files_of(take_out(shop.records, settings, tmp_path, NOON).path)
    row = rows_of(files["models.csv"])[0]
    assert (row["model_id"], row["note"], row["current"]) == (found.model_id, "first", "yes")
    assert json.loads(files[f"models/{found.model_id}.json"])["sales"] == 1


def test_taking_out_twice_overwrites_nothing_and_a_bad_place_is_said(shop, settings, tmp_path):
    one = take_out(shop.records, settings, tmp_path, NOON)
    other = take_out(shop.records, settings, tmp_path, NOON + timedelta(seconds=1))
    assert one.path != other.path
    (tmp_path / "file").write_text("")
    with pytest.raises(NotTakenOutError, match="cannot be written there"):
        take_out(shop.records, settings, tmp_path / "file" / "in", NOON)
