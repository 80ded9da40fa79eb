"""Copies of the shop: made by a button, listed, carried away; the copy of the day."""

from __future__ import annotations

import io
import threading
import zipfile
from datetime import timedelta
from pathlib import Path

import pytest
from bench_forms import Send, hidden_fields, words_of
from flask import Flask
from flask.testing import FlaskClient

from resale.storage.backup.catalogue import backups_in
from resale.storage.backup.make import make_backup
from resale.storage.backup.verify import check_archive
from resale.web import create_app
from resale.web.admin.daily_copies import DailyCopies, copy_trouble, daily_copies
from resale.web.core.jobs import EXTENSION as WORK
from resale.web.core.shop import Shop


def test_a_copy_is_made_listed_and_carried_away(
    app: Flask, client: FlaskClient, send: Send, tmp_path: Path
) -> None:
    send("save", s__cuff_buttons="working")
    assert "None kept yet" in words_of(client.get("/copies"))
    fields = hidden_fields(client, "/copies")
    answer = client.post("/copies", data=fields)
    assert answer.status_code == 303
    app.extensions[WORK].wait()
    page = client.get("/copies")
    assert "1 kept" in words_of(page) and "by hand 1" in words_of(page)
    (copy,) = backups_in(tmp_path / "copies")
    assert f"/copies/{copy.path.name}" in page.text
    file = client.get(f"/copies/{copy.path.name}")
    assert file.headers["Content-Disposition"] == f"attachment; filename={copy.path.name}"
    with zipfile.ZipFile(io.BytesIO(file.data)) as archive:
        assert archive.testzip() is None
    file.close()


def test_a_copy_of_a_day_is_listed_with_what_is_new_and_carried_away_whole(
    app: Flask, client: FlaskClient, tmp_path: Path
) -> None:
    DailyCopies(app).make()
    (copy,) = backups_in(tmp_path / "copies")
    page = words_of(client.get("/copies"))
    assert copy.path.suffix == ".pieces" and "1 kept" in page and "kB new" in page
    file = client.get(f"/copies/{copy.path.name}")
    called = copy.path.with_suffix(".zip").name
    assert file.headers["Content-Disposition"] == f"attachment; filename={called}"
    (tmp_path / called).write_bytes(file.data)
    file.close()
    assert check_archive(tmp_path / called).files.keys() == copy.manifest.files.keys()
    # One that cannot be put together any more is a sentence, and no half of a file.
    for pack in (tmp_path / "copies").rglob("*.pack"):
        pack.unlink()
    refused = client.get(f"/copies/{copy.path.name}")
    assert "is missing" in words_of(refused) and refused.status_code >= 400


def test_of_two_processes_that_serve_a_shop_one_makes_the_copy_of_the_day(tmp_path: Path) -> None:
    both = [DailyCopies(create_app(tmp_path)) for _ in range(2)]
    threads = [threading.Thread(target=one.make) for one in both]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert len(backups_in(tmp_path / "copies")) == 1
    assert [one.trouble for one in both] == ["", ""]


def test_trouble_of_one_process_ends_with_the_copy_that_another_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    one, other = (DailyCopies(create_app(tmp_path)) for _ in range(2))
    one.trouble = "The disk was away."
    other.make()
    assert one.notice() == "The disk was away."
    soon = other._shop.here() + timedelta(minutes=2)
    monkeypatch.setattr(Shop, "now", lambda _: soon)
    assert one.notice() == ""


@pytest.mark.parametrize("name", ["shop.toml", "..%2Fsession.key", "copy-2026.zip", ".."])
def test_nothing_but_a_copy_can_be_carried_away(client: FlaskClient, name: str) -> None:
    assert client.get(f"/copies/{name}").status_code == 404


def test_a_copy_that_cannot_be_read_is_listed_with_why(client: FlaskClient, tmp_path: Path) -> None:
    (tmp_path / "copies").mkdir()
    (tmp_path / "copies" / "copy-2026-06-30-120000-daily.zip").write_bytes(b"half")
    assert "altered or damaged (it is no whole zip)" in words_of(client.get("/copies"))


def test_the_ledger_leads_to_the_copies(client: FlaskClient) -> None:
    assert 'href="/copies"' in client.get("/ledger").text


# ---------------------------------------------------------------- the copy of the day
def test_the_copy_of_the_day_is_made_once_and_the_oldest_go(tmp_path: Path) -> None:
    app = create_app(tmp_path, copies_kept=1)
    copies = DailyCopies(app)
    shop = app.extensions["resale"]
    yesterday = shop.here() - timedelta(days=1, minutes=1)
    older = make_backup(shop.records, shop.settings, tmp_path / "copies", yesterday, why="daily")
    copies.make()
    copies.make()
    (newest,) = backups_in(tmp_path / "copies")
    assert newest.path != older.path
    assert newest.manifest is not None and newest.manifest.why == "daily"
    assert copies.trouble == ""


def test_screens_that_open_make_the_copy_that_is_due_and_plan_the_next(tmp_path: Path) -> None:
    app = create_app(tmp_path, copy_hour=4)
    with daily_copies(app) as scheduler:
        assert scheduler is not None
        hours = [str(job.trigger) for job in scheduler.get_jobs() if "cron" in str(job.trigger)]
        assert hours == ["cron[hour='4']"]
    # Leaving waits for what is being made.
    assert len(backups_in(tmp_path / "copies")) == 1


@pytest.mark.parametrize("setting", [{"copy_each_day": False}, {"invented": True}])
def test_no_copy_is_made_where_none_is_wanted(tmp_path: Path, setting: dict[str, bool]) -> None:
    with daily_copies(create_app(tmp_path, **setting)) as scheduler:
        assert scheduler is None
    assert backups_in(tmp_path / "copies") == ()


def test_a_copy_of_the_day_that_fails_is_said_on_every_screen_until_one_is_made(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    (tmp_path / "in-the-way").write_text("a file where the folder should be")
    app = create_app(tmp_path, copies_folder=tmp_path / "in-the-way")
    with daily_copies(app):
        pass
    assert "is no folder" in copy_trouble(app)
    for path in ("/", "/copies"):
        assert "The last copy of the day was not made" in words_of(app.test_client().get(path))
    assert "the copy of the day was not made" in caplog.text
    (tmp_path / "in-the-way").unlink()
    app.extensions["resale.daily_copies"].make()
    assert copy_trouble(app) == ""
    assert "not made" not in words_of(app.test_client().get("/"))


def test_a_copy_dated_in_the_future_stops_no_copy_and_takes_nobodys_place(tmp_path: Path) -> None:
    """A machine whose clock once ran ahead by years."""
    app = create_app(tmp_path, copies_kept=1)
    shop = app.extensions["resale"]
    years = shop.here() + timedelta(days=3 * 365)
    ahead = make_backup(shop.records, shop.settings, tmp_path / "copies", years, why="daily")
    DailyCopies(app).make()
    kept = [one.path for one in backups_in(tmp_path / "copies")]
    assert len(kept) == 2 and ahead.path in kept
    assert "after now: a clock was wrong" in words_of(app.test_client().get("/copies"))


def test_a_copy_that_did_not_come_when_due_is_said_on_every_screen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever makes copies may have died without a word."""
    app = create_app(tmp_path)
    client = app.test_client()
    copies = app.extensions["resale.daily_copies"] = DailyCopies(app)
    copies.make()
    assert "not made" not in words_of(client.get("/"))
    tomorrow = app.extensions["resale"].here() + timedelta(days=1, hours=2)
    monkeypatch.setattr(Shop, "now", lambda _: tomorrow)
    client = app.test_client()
    assert "The last copy of the day was not made" in words_of(client.get("/"))
    assert "It was due at 13:00 and has not come" in words_of(client.get("/copies"))
    copies.make()
    assert "not made" not in words_of(client.get("/"))


def test_a_clock_that_cannot_be_right_is_said_on_every_screen(
    app: Flask, client: FlaskClient, send: Send, monkeypatch: pytest.MonkeyPatch
) -> None:
    send("save", s__cuff_buttons="working")
    assert "something was written down" not in words_of(client.get("/"))
    before = app.extensions["resale"].now() - timedelta(days=400)
    monkeypatch.setattr(Shop, "now", lambda _: before)
    client = app.test_client()
    assert "something was written down at" in words_of(client.get("/items"))


def test_a_folder_of_copies_is_named_within_the_data_folder_or_anywhere(tmp_path: Path) -> None:
    app = create_app(tmp_path / "shop", copies_folder="../stick")
    DailyCopies(app).make()
    assert len(backups_in(tmp_path / "stick")) == 1
