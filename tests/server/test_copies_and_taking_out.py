"""Copies of the day and taking everything out, asked of one real server in a process of its own."""

from __future__ import annotations

import hashlib
import io
import json
import sqlite3
import zipfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from running_shop import PASSWORD, Running, Visitor, running_shop

from resale.config.settings import read_settings
from resale.storage.backup.make import make_backup
from resale.storage.db.database import FILE_NAME, open_records

pytestmark = pytest.mark.long
AHEAD = datetime.now(UTC) + timedelta(days=3 * 365)
TRIES = 3000


def signed_in(running: Running) -> Visitor:
    owner = running.visitor()
    if running.link:
        owner.become_owner(running.link)
    else:
        assert owner.post("/sign-in", name="Ottoline", password=PASSWORD).status == 303
    return owner


def test_a_copy_dated_ahead_stops_no_copy_of_the_day(tmp_path: Path) -> None:
    folder = tmp_path / "shop"
    with running_shop(folder, RESALE_COPY_EACH_DAY="false") as running:
        signed_in(running)
    settings = read_settings(folder)
    records = open_records(folder)
    made = make_backup(records, settings, folder / "copies", AHEAD, why="daily")
    records.dispose()
    with running_shop(folder, owned=True, RESALE_COPY_HOUR="0") as running:
        owner = signed_in(running)
        # The copy of the day is made beside the screens; each look asks the server once more.
        looks = (owner.get("/copies").text for _ in range(TRIES))
        assert any(len(list((folder / "copies").glob("copy-*-daily.pieces"))) == 2 for _ in looks)
        page = owner.get("/copies").text
    ours = {one.name for one in (folder / "copies").glob("copy-*-daily.pieces")} - {made.path.name}
    assert ours.pop().startswith(f"copy-{datetime.now().astimezone().year}")
    assert made.path.name in page and "after now: a clock was wrong" in page


def test_all_that_a_shop_knows_comes_out_of_a_running_one(tmp_path: Path) -> None:
    folder = tmp_path / "shop"
    with running_shop(folder) as running:
        owner = signed_in(running)
        bench = owner.get("/bench/jacket").text
        saved = owner.send("/bench/jacket/save", bench, **{"s-cuff_buttons": "working"})
        assert saved.status == 303
        owner.post("/consignors", name="An invented consignor")
        owner.post("/consignors/C-0001/items", "/consignors/C-0001", items="Q-00001")
        owner.post("/drill/start", "/drill")
        line = owner.line()
        cookie = "; ".join(f"{name}={said}" for name, said in owner.cookies.items())
        line.request("GET", "/ledger/take-out", headers={"Cookie": cookie})
        content = line.getresponse().read()
        line.close()
    with zipfile.ZipFile(io.BytesIO(content)) as out:
        names = set(out.namelist())
        manifest = json.loads(out.read("manifest.json"))
        told = manifest["files"]
        assert names - {"manifest.json"} == {one["name"] for one in told}
        for one in told:
            assert hashlib.sha256(out.read(one["name"])).hexdigest() == one["sha256"]
        counts = {
            name.split("/")[1].removesuffix(".jsonl"): len(out.read(name).splitlines())
            for name in names
            if name.endswith(".jsonl")
        }
    # Counted apart, in the file of records itself; taking out wrote a line of its own after.
    with sqlite3.connect(folder / FILE_NAME) as records:
        for table in ("item", "valuation", "event", "consignor", "person", "drill_session", "deed"):
            (rows,) = records.execute(f"SELECT count(*) FROM {table}").fetchone()  # noqa: S608
            assert rows - counts[table] in ((0, 1) if table == "deed" else (0,)), table
            assert rows
