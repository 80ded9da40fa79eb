"""Room and time of copies of the day, beside whole zips of the same days.

    python tests/benchmarks/daily_copies.py --sales 100000 --days 7 --changes 200

The shop is the invented one of `long_history.py`, with a fifth of the sales on hand. Each day, so
many items on the rail are sold and a quarter as many are saved through the bench.
"""

from __future__ import annotations

import argparse
import os
import random
import sys
import tempfile
import time
from datetime import timedelta
from pathlib import Path

import long_history
from sqlalchemy import select

from resale.services.actor import Actor
from resale.services.ledger.write_event import write_event
from resale.storage.backup.catalogue import let_go, room_taken
from resale.storage.backup.make import make_backup
from resale.storage.db.tables import ItemNow, ItemRow
from resale.storage.ledger.event_checks import NewEvent
from resale.web import create_app

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))
from signed_in import signed_in

MB = 1_000_000


def main() -> None:
    """Make the shop, let days go by, and measure."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--sales", type=int, default=100_000)
    options.add_argument("--days", type=int, default=7)
    options.add_argument("--changes", type=int, default=200)
    told = options.parse_args()
    os.environ["RESALE_OPENING_PRICES_HOLD"] = "true"
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "shop"
        long_history.made(folder, told.sales, told.sales // 5, 17)
        rows = measured(folder, told.days, told.changes)
    zips = sum(size for _, _, size, _ in rows)
    print(f"| {told.changes:,} changes a day | new in it | made in | one whole zip | made in |")
    print("|---|---|---|---|---|")
    for day, (new, seconds, size, by_zip) in enumerate(rows, 1):
        sizes = f"{new / MB:.1f} MB | {seconds:.1f} s | {size / MB:.1f} MB | {by_zip:.1f} s"
        print(f"| day {day} | {sizes} |")
    shared = sum(new for new, *_ in rows)
    print(f"| {told.days} days | {shared / MB:.0f} MB | | {zips / MB:.0f} MB | |")


def measured(folder: Path, days: int, changes: int) -> list[tuple[int, float, int, float]]:
    """Of each day: bytes and seconds of its copy in pieces, and of a whole one."""
    app, rng, rows = create_app(folder), random.Random(5), []  # noqa: S311 - invented days
    shop, client = app.extensions["resale"], signed_in(app, "owner")
    copies, long_history.THINGS = folder / "copies", changes // 4
    with shop.records.connect() as one:
        hangs = select(ItemRow.number).join(ItemNow).where(ItemNow.place == "on_rail")
        numbers = list(one.scalars(hangs.order_by(ItemRow.id)))
    rng.shuffle(numbers)
    for day in range(days):
        if day:
            long_history.save_things(app, client, rng)
            for number in [numbers.pop() for _ in range(changes)]:
                new = NewEvent(number, "sold", shop.here().date(), f"c{number}", 1200)
                write_event(shop, Actor(long_history.WHO, "owner"), new, shop.here())
        at, before = shop.here() + timedelta(days=day), room_taken(copies)
        began = time.perf_counter()
        make_backup(shop.records, shop.settings, copies, at, why="daily")
        let_go(copies, days, at)
        seconds, new_bytes = time.perf_counter() - began, room_taken(copies) - before
        began = time.perf_counter()
        whole = make_backup(shop.records, shop.settings, folder.parent / "whole", at)
        by_zip = time.perf_counter() - began
        rows.append((new_bytes, seconds, whole.path.stat().st_size, by_zip))
        whole.path.unlink()
        print(f"day {day + 1} of {days}: {new_bytes / MB:.1f} MB", flush=True)
    return rows


if __name__ == "__main__":
    main()
