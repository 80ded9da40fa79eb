"""A shop is built again from what was taken out, and knows all that the first one knew."""

from __future__ import annotations

import hashlib
import json
import zipfile
from datetime import date, datetime
from pathlib import Path

import pytest
from bench_forms import hidden_fields, new_form
from camera import shot
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import Date, DateTime, Engine, Table
from sqlalchemy.orm import Session
from writing import add_photo

from resale.config.settings import Settings
from resale.storage.backup.export import take_out
from resale.storage.backup.totals import totals_of
from resale.storage.backup.whole_tables import FOLDER, LEFT_OUT
from resale.storage.db.database import FILE_NAME, open_records
from resale.storage.db.tables import Base
from resale.storage.items.replay import replay
from resale.storage.settlement.statements import dues
from resale.web import create_app


@pytest.fixture
def app(tmp_path: Path) -> Flask:
    app = create_app(tmp_path / "shop", name="The Invented Wardrobe")
    client, shop = app.test_client(), app.extensions["resale"]
    save(client)
    add_photo(shop.records, shop.settings, "Q-00001", shot(90, 60), at=shop.now(), by="Ann")
    token = hidden_fields(client, "/consignors")
    client.post("/consignors", data={**token, "name": "An invented consignor"})
    paid = {"what": "payout", "amount": "5", "payment": "cash", "in_advance": "1"}
    client.post("/consignors/C-0001/money", data={**token, **paid, "key": "paid"})
    client.post("/consignors/C-0001/close", data=token)
    client.post("/drill/start", data=hidden_fields(client, "/drill"))
    return app


def save(client: FlaskClient) -> None:
    fields = new_form(client)
    client.post("/bench/jacket/save", data={**fields, "s-cuff_buttons": "working"})


def value_of(table: Table, name: str, said: object) -> object:
    kind = table.columns[name].type
    if isinstance(said, str) and isinstance(kind, DateTime):
        return datetime.fromisoformat(said)
    return date.fromisoformat(said) if isinstance(said, str) and isinstance(kind, Date) else said


def rebuilt(path: Path, folder: Path) -> Engine:
    """Build a shop from the files alone: rows by their names, and files where they lay."""
    records = open_records(folder)
    with zipfile.ZipFile(path) as archive:
        for table in Base.metadata.sorted_tables:
            name = f"{FOLDER}/{table.name}.jsonl"
            if name not in archive.namelist():
                continue
            rows = [json.loads(line) for line in archive.read(name).decode().splitlines()]
            plain = [{key: value_of(table, key, said) for key, said in row.items()} for row in rows]
            if table.name == "person":
                plain = [{**row, "secret": ""} for row in plain]
            with records.execution_options(writes=True).begin() as one:
                if plain:
                    one.execute(table.insert(), plain)
        for name in archive.namelist():
            if name.startswith(("photos/", "books/", "models/")):
                archive.extract(name, folder)
    return records


def test_a_shop_is_built_again_from_what_was_taken_out(app: Flask, tmp_path: Path) -> None:
    shop = app.extensions["resale"]
    out = take_out(shop.records, shop.settings, tmp_path / "out", shop.now())
    records = rebuilt(out.path, tmp_path / "again")
    before = totals_of(shop.settings.data_folder / FILE_NAME)
    after = totals_of(tmp_path / "again" / FILE_NAME)
    same = {name for name in before.counts if name not in LEFT_OUT}
    assert {name: after.counts[name] for name in same} == {n: before.counts[n] for n in same}
    assert before.counts["consignor"] == before.counts["photo"] == 1 and before.counts["deed"] >= 2
    assert before.counts["posting"] == 2 and before.counts["statement"] == 1
    with Session(records) as session:
        assert [(one.number, one.owed, one.stated) for one in dues(session)] == [
            ("C-0001", -500, -500)
        ]
    settings = Settings(data_folder=tmp_path / "again")
    assert replay(records, settings, shop.book, "Q-00001").equal
    photos = sorted((shop.settings.data_folder / "photos").glob("*.jpg"))
    assert [one.name for one in photos] == sorted(
        one.name for one in (tmp_path / "again" / "photos").glob("*.jpg")
    )
    records.dispose()


def test_the_manifest_vouches_for_every_file_and_nothing_opens_a_door(
    app: Flask, tmp_path: Path
) -> None:
    shop = app.extensions["resale"]
    out = take_out(shop.records, shop.settings, tmp_path / "out", shop.now())
    with zipfile.ZipFile(out.path) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    said = json.loads(files.pop("manifest.json"))
    assert {one["name"]: one["sha256"] for one in said["files"]} == {
        name: hashlib.sha256(content).hexdigest() for name, content in files.items()
    }
    assert json.loads(files["settings.json"])["name"] == "The Invented Wardrobe"
    assert not any(f"{FOLDER}/{name}.jsonl" in files for name in LEFT_OUT)
    assert b"argon2" not in b"".join(files.values())


def test_every_table_is_taken_out_or_said_to_be_left() -> None:
    assert set(LEFT_OUT) <= set(Base.metadata.tables)
