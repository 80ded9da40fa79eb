"""A shop with a long history: how long its main pages take after an event, and the server's memory.

    python tests/benchmarks/long_history.py --sales 1000000 --on-hand 100000

The shop is invented and made from a seed: forty things are saved through the bench as a person
saves them, and their rows are copied with other numbers, prices and days, so that every row is one
that the program itself wrote. Every page is asked as it comes first,
and then again, each time after an event, as a desk feels it. With `--records` a server's address is
used instead of a file.
"""

from __future__ import annotations

import argparse
import http.client
import multiprocessing
import os
import random
import sys
import tempfile
import time
import urllib.parse
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import Engine, select, text

from resale.services.actor import Actor
from resale.services.ledger.write_event import write_event
from resale.storage.db.hold_tables import HoldEventRow
from resale.storage.db.migrations.item_now_triggers import state_triggers, state_triggers_gone
from resale.storage.db.tables import ItemNow, ItemRow, ValuationRow
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.item_now import write_anew
from resale.web import create_app

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))
from bench_forms import hidden_fields
from desks import serve_shop, serving
from looked_over import looked_over
from signed_in import signed_in

KINDS = ("jacket", "shirt", "dress", "bag", "shoes", "trousers", "knitwear", "coat")
THINGS, BLOCK, TURNS, WHO = 60, 20_000, 3, "Invented"
PAGES = {
    "Rail": "/rail",
    "Rail, by net": "/rail?sort=net&down=1&state=all",
    "Rail, one item": "/rail/{item}",
    "Items": "/items",
    "Items, a word": "/items?q=jacket",
    "Items, on the rail": "/items?where=on_rail",
    "an item": "/items/{item}",
    "its nearest sales": "/items/{item}/like",
    "Ledger": "/ledger",
    "Ledger, an item": "/ledger/item/{item}",
    "Evidence": "/evidence",
    "Learned prices": "/ledger/prices",
    "Consignors": "/consignors",
    "Held": "/held",
    "Bench": "/bench/jacket",
}


@dataclass
class Asked:
    """Seconds of each page, as it came first and after an event, and the server's memory (MB).

    `work` is what the server's own processor time was after an event: other programs on the
    machine make a page slower, but not that.
    """

    first: dict[str, float] = field(default_factory=dict)
    after: dict[str, float] = field(default_factory=dict)
    work: dict[str, float] = field(default_factory=dict)
    memory: float = 0.0
    most: float = 0.0


def made(folder: Path, sales: int, on_hand: int, seed: int) -> None:
    """Make the shop."""
    app = create_app(folder, name="An invented shop")
    shop, client = app.extensions["resale"], signed_in(app, "owner")
    save_things(app, client, random.Random(seed))  # noqa: S311 - invented things
    began = time.perf_counter()
    with shop.records.connect() as one:
        held = select(HoldEventRow.item_id)
        fine = list(one.scalars(select(ItemRow.id).where(ItemRow.id.not_in(held))))
    fill(shop.records, sales, on_hand, shop.here().date(), seed, fine)
    print(f"made in {time.perf_counter() - began:.0f} s", flush=True)
    shop.records.dispose()


def save_things(app: Flask, client: FlaskClient, rng: random.Random) -> None:
    """Save things through the bench."""
    for place in range(THINGS):
        kind = KINDS[place % len(KINDS)]
        signs = app.extensions["resale"].book.kinds[kind].signals
        picked = rng.sample([one for one in signs if one.only_if is None], 8)
        read = {one.id: rng.choice(one.option_ids) for one in picked}
        fields = {f"s-{name}": option for name, option in read.items()}
        page = hidden_fields(client, f"/bench/{kind}")
        sent = {**page, "label": f"Ulmba {place % 7}", **looked_over(kind, read), **fields}
        client.post(f"/bench/{kind}/save", data=sent)


def fill(
    records: Engine, sales: int, on_hand: int, today: date, seed: int, fine: list[int]
) -> None:
    """Copy the things: past sales as a file brings them, things on hand as the bench saves them.

    The database copies rows by itself, a block at a time; what it keeps of each item is written at
    the end at once.
    """
    large = records.dialect.name == "postgresql"
    words = Words(today, seed, fine, large=large)
    with records.execution_options(writes=True).begin() as one:
        for statement in state_triggers_gone(records.dialect.name):
            one.execute(text(statement))
    for first in range(THINGS + 1, THINGS + sales + on_hand + 1, BLOCK):
        last = min(first + BLOCK - 1, THINGS + sales + on_hand)
        with records.execution_options(writes=True).begin() as one:
            for statement in words.statements(THINGS + sales):
                one.execute(text(statement), {"first": first, "last": last})
    with records.execution_options(writes=True).begin() as one:
        for statement in state_triggers(records.dialect.name):
            one.execute(text(statement))
    write_anew(records)


class Words:
    """The statements that copy a block of rows, in the words of either database."""

    def __init__(self, today: date, seed: int, fine: list[int], *, large: bool) -> None:
        self.today, self.seed, self.fine, self.large = today, seed, fine, large

    def day(self, before: str) -> str:
        """Day so many days before today."""
        if self.large:
            return f"(DATE '{self.today}' - CAST({before} AS integer))"
        return f"date('{self.today}', '-' || ({before}) || ' days')"

    def json(self, said: str) -> str:
        """Text as a column of JSON takes it."""
        return f"CAST({said} AS json)" if self.large else said

    def chance(self, of: int, salt: int) -> str:
        """A number below `of` that hangs on the row and the seed alone."""
        return f"(((n.v % 1000003) * {7919 + 2 * salt} + {self.seed * 31 + salt}) % 10007 % {of})"

    def statements(self, sales: int) -> Iterator[str]:
        """Copy a block; ids up to `sales` are past sales."""
        cases = " ".join(f"WHEN {at} THEN {item}" for at, item in enumerate(self.fine))
        rows = (
            "WITH RECURSIVE n(v) AS (SELECT :first UNION ALL "  # noqa: S608 - our own words
            "SELECT v + 1 FROM n WHERE v < :last) "
            f"SELECT %s FROM n JOIN item t ON t.id = CASE n.v %% {len(self.fine)} {cases} END "
            "JOIN valuation w ON w.item_id = t.id %s"
        )
        past, here = f"WHERE n.v <= {sales}", f"WHERE n.v > {sales}"
        copied = "kind, label, label_written, size, note, made_at"
        yield f"INSERT INTO item (id, number, client_key, {copied}) " + rows % (
            "n.v, 'Q-' || n.v, 'c' || n.v, " + ", ".join(f"t.{one}" for one in copied.split(", ")),
            "",
        )
        columns = [one.name for one in ValuationRow.__table__.columns][3:]
        yield (
            f"INSERT INTO valuation (id, item_id, client_key, {', '.join(columns)}) "
            + rows % ("n.v, n.v, 'c' || n.v, " + ", ".join(f"w.{one}" for one in columns), here)
        )
        yield "INSERT INTO item_word (word_id, item_id) " + rows % (
            "o.word_id, n.v",
            f"JOIN item_word o ON o.item_id = t.id {here}",
        )
        sold, hung, came = self.chance(1500, 1), self.chance(60, 2), self.chance(90, 3)
        price = f"(w.estimate * (70 + {self.chance(61, 4)}) / 100)"
        valued = f"JOIN event e ON e.item_id = t.id AND e.what = 'valued' {here}"
        began = self.day(f"1 + {sold} + {hung}")
        plan = "'{\"plan\"\\: [' || w.ticket || ', ' || (w.ticket * 4 / 5) || ', null]}'"
        choices = (
            "json_build_object('past', '0', 'choices', w.inputs -> 'choices')"
            if self.large
            else "json_object('past', '0', 'choices', json_extract(w.inputs, '$.choices'))"
        )
        none, empty = "NULL", self.json("'{}'")
        for place, what, day, amount, data, which in (
            (0, "taken_in", began, none, choices, past),
            (1, "put_out", began, price, empty, past),
            (2, "sold", self.day(f"1 + {sold}"), price, empty, past),
            (0, "taken_in", self.day(came), none, empty, here),
            (1, "valued", self.day(came), "e.amount", "e.data", valued),
            (2, "put_out", self.day(came), "w.ticket", self.json(plan), f"{here} AND n.v % 2 = 0"),
        ):
            money = "''" if amount == none else "'EUR'"
            yield (
                "INSERT INTO event (id, item_id, what, day, amount, currency, note, by_whom, data, "
                "strikes, client_key, made_at) "
                + rows
                % (
                    f"1000 + 3 * n.v + {place}, n.v, '{what}', {day}, {amount}, {money}, '', "
                    f"'{WHO}', {data}, false, 'k' || n.v || '-{place}', t.made_at",
                    which,
                )
            )


class Desk:
    """A browser, and somebody else at the till meanwhile."""

    def __init__(self, app: Flask, port: int, numbers: list[str], pid: int) -> None:
        self.shop, self.numbers, self.pid = app.extensions["resale"], numbers, pid
        client, self.port = signed_in(app, "owner"), port
        self.fields = hidden_fields(client, "/bench/jacket")
        # Read after the form: its token is good in this session alone.
        cookie = client.get_cookie("resale")
        self.cookie = cookie.value if cookie else ""
        self.fields |= looked_over("jacket", {})

    def ask(self, path: str, fields: dict[str, str] | None = None) -> float:
        """Seconds until a page is there; work that leads to it is waited for."""
        began = time.perf_counter()
        while True:
            code, moved = self._once(path, fields)
            if code == 303 and moved and moved.startswith("/work/"):
                while self._once(moved, None) == (200, None):
                    time.sleep(0.2)
                continue
            assert code in {200, 303}, (path, code)
            return time.perf_counter() - began

    def _once(self, path: str, fields: dict[str, str] | None) -> tuple[int, str | None]:
        wire = http.client.HTTPConnection("127.0.0.1", self.port, timeout=3600)
        headers = {"Cookie": f"resale={self.cookie}"}
        if fields is None:
            wire.request("GET", path, headers=headers)
        else:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
            wire.request("POST", path, urllib.parse.urlencode(fields), headers)
        answer = wire.getresponse()
        answer.read()
        found = answer.status, answer.getheader("Location")
        wire.close()
        return found

    def happens(self) -> None:
        """Let something happen to an item: it is sold."""
        number = self.numbers.pop()
        new = NewEvent(number, "sold", self.shop.here().date(), f"k{number}", 1200)
        write_event(self.shop, Actor(WHO, "owner"), new, self.shop.here())

    def worked(self) -> float:
        """Seconds of a core that the server's process has used."""
        fields = Path(f"/proc/{self.pid}/stat").read_text(encoding="ascii").rpartition(")")[2]
        return sum(map(int, fields.split()[11:13])) / os.sysconf("SC_CLK_TCK")

    def memory(self, what: str) -> float:
        """Of the server's process, in MB: VmRSS now, or VmHWM at most."""
        text = Path(f"/proc/{self.pid}/status").read_text(encoding="ascii")
        line = next(one for one in text.splitlines() if one.startswith(what))
        return int(line.split()[1]) / 1000


def measured(folder: Path, pages: dict[str, str]) -> Asked:
    """Ask every page, as it comes first and then after an event."""
    app, found = create_app(folder), Asked()
    records = app.extensions["resale"].records
    with records.connect() as open_one:
        hangs = select(ItemRow.number).join(ItemNow).where(ItemNow.place == "on_rail")
        newest = hangs.order_by(ItemRow.id.desc()).limit(10 * len(PAGES) * TURNS)
        numbers = list(open_one.scalars(newest))
    with serving(serve_shop, folder) as port:
        pid = next(one.pid for one in multiprocessing.active_children() if one.pid)
        desk = Desk(app, port, numbers[1:], pid)
        taps = {"Bench, a tap": "/bench/jacket/look", "Bench, a save": "/bench/jacket/save"}
        for name, wanted in {**pages, **taps}.items():
            path = wanted.format(item=numbers[0])
            fields = desk.fields if name in taps else None
            times, works = [], []
            for turn in range(TURNS + 1):
                if turn:
                    desk.happens()
                key = {"key": f"{name} {turn} {time.time()}"} if fields else {}
                before = desk.worked()
                times.append(desk.ask(path, {**fields, **key} if fields else None))
                works.append(desk.worked() - before)
            found.first[name], found.after[name] = times[0], sorted(times[1:])[TURNS // 2]
            found.work[name] = sorted(works[1:])[TURNS // 2]
            own = f"{found.after[name]:9.3f} s, own work {found.work[name]:6.2f} s"
            print(f"{name:20s} {times[0]:9.3f} s, then {own}", flush=True)
        found.memory, found.most = desk.memory("VmRSS"), desk.memory("VmHWM")
    records.dispose()
    return found


def main() -> None:
    """Make what is not there, and measure."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--sales", type=int, default=100_000)
    options.add_argument("--on-hand", type=int, default=10_000)
    options.add_argument("--seed", type=int, default=17)
    options.add_argument("--folder", type=Path, help="where it is kept for another run")
    options.add_argument("--records", default="", help="address of a server for the records")
    options.add_argument("--pages", help="only these, with semicolons")
    options.add_argument("--make", action="store_true", help="make the shop, and measure nothing")
    told = options.parse_args()
    os.environ["RESALE_OPENING_PRICES_HOLD"] = "true"
    if told.records:
        os.environ["RESALE_RECORDS_URL"] = told.records
    multiprocessing.set_start_method("spawn")
    pages = {n: p for n, p in PAGES.items() if not told.pages or n in told.pages.split(";")}
    with tempfile.TemporaryDirectory() as place:
        folder = told.folder or Path(place) / "shop"
        if not folder.exists():
            made(folder, told.sales, told.on_hand, told.seed)
        if told.make:
            return
        found = measured(folder, pages)
    print(f"\n| {told.sales:,} past sales, {told.on_hand:,} on hand", end="")
    print(" | first | after an event | own work |")
    print("|---|---|---|---|")
    for name in found.after:
        print(
            f"| {name} | {found.first[name]:.2f} s | {1000 * found.after[name]:.0f} ms "
            f"| {1000 * found.work[name]:.0f} ms |"
        )
    print(f"| memory, at the end and at most | {found.memory:.0f} MB | {found.most:.0f} MB | |")


if __name__ == "__main__":
    main()
