"""A save that was answered survives `kill -9`: every one is there, and there once.

This kills the program; it does not cut the power. Against that stand SQLite's own write-ahead log
with synchronous = FULL (https://www.sqlite.org/wal.html, https://www.sqlite.org/atomiccommit.html),
which a test asks for below.
"""

from __future__ import annotations

import http.client
import os
import random
import sqlite3
import sys
import threading
from collections import Counter
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from uuid import uuid4

import pytest
from killed_server import Shop, all_at_once, shop_to_kill

from resale.storage.backup.catalogue import backups_in
from resale.storage.backup.verify import check_archive
from resale.storage.db.database import FILE_NAME, open_records

DESKS = 4
SAVED = 303
# Every save writes an item, its valuation, and the two events that both stand for, or nothing.
ROWS = """
SELECT item.client_key, COUNT(DISTINCT item.id), COUNT(DISTINCT valuation.id),
       COUNT(DISTINCT event.id)
FROM item LEFT JOIN valuation ON valuation.item_id = item.id
LEFT JOIN event ON event.item_id = item.id GROUP BY item.client_key
"""


@dataclass
class Told:
    """What the desks sent, and what they were told of it."""

    sent: set[str] = field(default_factory=set)
    saved: dict[str, str] = field(default_factory=dict)
    kills: int = 0
    in_flight: int = 0


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this machine forks no process")
@pytest.mark.parametrize("rounds", [1, pytest.param(200, marks=pytest.mark.long)])
def test_what_was_answered_as_saved_is_there_once_after_every_kill(
    tmp_path: Path, rounds: int, capsys: pytest.CaptureFixture[str]
) -> None:
    chance, told = random.Random(20261125), Told()  # noqa: S311 - only moments are drawn
    with shop_to_kill(tmp_path) as shop:
        for _ in range(rounds):
            shop.start()
            _save_until_killed(shop, told, chance)
            _check(tmp_path, told)
        shop.start()
        _send_again(shop, told)
        _check(tmp_path, told)
        shop.kill()
    assert set(told.saved) == told.sent
    assert len(set(told.saved.values())) == len(told.sent), "two items share a number"
    for copy in backups_in(tmp_path / "copies"):
        assert check_archive(copy.path).counts["item"] <= len(told.sent)
    with capsys.disabled():
        if rounds > 10:
            print(
                f"\n{told.kills} kills, {len(told.saved):,} saves answered, "
                f"{told.in_flight:,} saves under way when killed, none lost, none twice, "
                f"{len(backups_in(tmp_path / 'copies'))} copies all whole",
                file=sys.stderr,
            )


def _save_until_killed(shop: Shop, told: Told, chance: random.Random) -> None:
    """Let several desks save, some of it again, while the moment of the kill comes at random."""
    dead, lock = threading.Event(), threading.Lock()

    def kill() -> None:
        dead.set()
        shop.kill()

    def desk() -> None:
        while not dead.is_set():
            key = str(uuid4())
            with lock:
                told.sent.add(key)
            if not _save(shop, told, key, lock):
                return

    def copier() -> None:
        try:
            shop.post("/copies")
        except (OSError, http.client.HTTPException):
            return

    copying = threading.Thread(target=copier)
    killer = threading.Timer(chance.uniform(0.001, 0.4), kill)
    # A round in which nobody saved anything would show nothing; it began with the first answer.
    first = str(uuid4())
    told.sent.add(first)
    assert _save(shop, told, first, lock)
    copying.start()
    killer.start()
    all_at_once(DESKS, desk)
    copying.join()
    killer.join()
    told.kills += 1


def _save(shop: Shop, told: Told, key: str, lock: threading.Lock) -> bool:
    """Send a save; whether it was answered."""
    try:
        status, leads = shop.post("/bench/bag/save", key=key, number="", note=f"note {key}")
    except (OSError, http.client.HTTPException):
        with lock:
            told.in_flight += 1
        return False
    assert status == SAVED
    with lock:
        told.saved[key] = leads.rsplit("=", 1)[1]
    return True


def _send_again(shop: Shop, told: Told) -> None:
    """Send what got no answer once more, as a browser would, and some of what did."""
    lock = threading.Lock()
    before = dict(told.saved)
    for key in [*sorted(told.sent - set(before)), *sorted(before)[:20]]:
        assert _save(shop, told, key, lock)
    assert all(told.saved[key] == number for key, number in before.items())


def _check(folder: Path, told: Told) -> None:
    """Ask the file itself, with Python's own sqlite3."""
    with closing(sqlite3.connect(folder / FILE_NAME)) as records:
        assert records.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert records.execute("PRAGMA foreign_key_check").fetchall() == []
        rows = {key: tuple(counts) for key, *counts in records.execute(ROWS)}
        numbers = dict(records.execute("SELECT client_key, number FROM item"))
    assert set(told.saved) <= set(rows) <= told.sent
    assert Counter(rows.values()) == Counter({(1, 1, 2): len(rows)})
    assert all(numbers[key] == number for key, number in told.saved.items())


def test_records_are_written_through_to_the_disk(tmp_path: Path) -> None:
    """SQLite's own words for its settings: 2 is FULL."""
    records = open_records(tmp_path)
    with records.connect() as one:
        assert one.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
        assert one.exec_driver_sql("PRAGMA synchronous").scalar() == 2
        assert one.exec_driver_sql("PRAGMA fullfsync").scalar() == 1
    records.dispose()
