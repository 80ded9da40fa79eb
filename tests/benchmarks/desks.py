"""Fifty desks at once on one machine: how long a live valuation takes, and whether any fails.

    python tests/benchmarks/desks.py --desks 50 --seconds 60 --write

Each desk is signed in, taps a sign about once a second (exponential pauses: nobody taps in step),
asks for the price after each tap as the Bench does, and saves the item after twenty taps. The same
taps go to an empty Flask route behind the same server, and to the shop's own address emptied (the
desk signed in, its token checked, its limits counted, and nothing valued), in turns of a few
seconds, so that whatever else the machine does falls on all; the ratios cancel it out. All traffic
stays on loopback, and the run ends by itself.
"""

from __future__ import annotations

import argparse
import http.client
import multiprocessing
import os
import random
import socket
import sys
import tempfile
import threading
import time
import urllib.parse
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from flask import Flask

from resale.config.settings import read_settings
from resale.storage.people.people import Role
from resale.web import create_app
from resale.web.http_server import http_server

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))
from bench_forms import hidden_fields
from signed_in import signed_in

TABLE = Path(__file__).with_suffix(".md")
KIND, TAPS, PAUSE = "jacket", 20, 1.0
TURNS = 2


@dataclass
class Seen:
    """What the desks saw: seconds of each answer, and what failed."""

    live: list[float] = field(default_factory=list)
    saved: int = 0
    failed: list[str] = field(default_factory=list)


def serve_shop(folder: Path, pipe: multiprocessing.connection.Connection) -> None:
    """Serve a shop as the command does."""
    _serve(create_app(folder), folder, pipe)


def serve_nothing(folder: Path, pipe: multiprocessing.connection.Connection) -> None:
    """Serve an empty route behind the same server."""
    app = Flask("empty")
    app.add_url_rule("/<path:any>", view_func=lambda any: "", methods=["GET", "POST"])
    _serve(app, folder, pipe)


def serve_doors(folder: Path, pipe: multiprocessing.connection.Connection) -> None:
    """Serve the shop with the address of a tap emptied: what its doors cost."""
    app = create_app(folder)
    app.view_functions["bench.look"] = lambda kind: ""
    _serve(app, folder, pipe)


def _serve(app: Flask, folder: Path, pipe: multiprocessing.connection.Connection) -> None:
    door = socket.create_server(("127.0.0.1", 0))
    pipe.send(door.getsockname()[1])
    http_server(app, door, read_settings(folder)).run()


class Desk(threading.Thread):
    """One sorter at one tablet."""

    def __init__(self, port: int, cookie: str, until: float, seed: int, seen: Seen) -> None:
        super().__init__(daemon=True, name="desk")
        self.port, self.cookie, self.until, self.seen = port, cookie, until, seen
        self.chance = random.Random(seed)  # noqa: S311 - pauses, not secrets

    def run(self) -> None:
        time.sleep(self.chance.random() * PAUSE)
        wire = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        while time.monotonic() < self.until:
            try:
                self.one_item(wire)
            except OSError as fault:
                self.seen.failed.append(repr(fault))
                wire.close()

    def one_item(self, wire: http.client.HTTPConnection) -> None:
        fields = {"csrf_token": TOKENS.get(self.cookie, ""), "key": f"{self.chance.random()}"}
        for sign, option in self.chance.sample(SIGNS, TAPS):
            if time.monotonic() > self.until:
                return
            fields[f"s-{sign}"] = option
            began = time.perf_counter()
            code = self.send(wire, f"/bench/{KIND}/look", fields, live=True)
            self.seen.live.append(time.perf_counter() - began)
            if code != 200:
                self.seen.failed.append(f"look {code}")
            time.sleep(self.chance.expovariate(1 / PAUSE))
        code = self.send(wire, f"/bench/{KIND}/save", fields, live=False)
        if code in {200, 303}:
            self.seen.saved += 1
        else:
            self.seen.failed.append(f"save {code}")

    def send(
        self, wire: http.client.HTTPConnection, path: str, fields: dict[str, str], *, live: bool
    ) -> int:
        headers = {
            "Content-Type": "application/x-www-form-urlencoded",
            "Cookie": f"resale={self.cookie}",
            **({"HX-Request": "true"} if live else {}),
        }
        wire.request("POST", path, urllib.parse.urlencode(fields), headers)
        answer = wire.getresponse()
        answer.read()
        return answer.status


SIGNS: list[tuple[str, str]] = []
TOKENS: dict[str, str] = {}


def desks_at(port: int, cookies: list[str], seconds: float, seen: Seen) -> None:
    """Let the desks work for so long."""
    until = time.monotonic() + seconds
    desks = [Desk(port, cookie, until, seed, seen) for seed, cookie in enumerate(cookies)]
    for desk in desks:
        desk.start()
    for desk in desks:
        desk.join()


def cookies_for(folder: Path, count: int, role: Role = "sorter") -> list[str]:
    """Sign so many in, and learn the token of each one's forms."""
    app = create_app(folder)
    book = app.extensions["resale"].book
    asked = [one for one in book.kinds[KIND].signals if one.only_if is None]
    SIGNS[:] = [(one.id, one.option_ids[0]) for one in asked]
    cookies = []
    for _ in range(count):
        client = signed_in(app, role)
        token = hidden_fields(client, f"/bench/{KIND}")["csrf_token"]
        cookies.append(str(client.get_cookie("resale").value))
        TOKENS[cookies[-1]] = token
    return cookies


@contextmanager
def serving(serve: object, folder: Path) -> Iterator[int]:
    """Serve in a process of its own; gives its port, and ends it."""
    ours, theirs = multiprocessing.Pipe()
    server = multiprocessing.Process(target=serve, args=(folder, theirs), daemon=True)
    server.start()
    try:
        yield ours.recv()
    finally:
        server.terminate()
        server.join()


def measure(folder: Path, cookies: list[str], seconds: float) -> tuple[Seen, Seen, Seen]:
    """Let the desks work at the shop, at its doors and at the empty route, by turns."""
    shop, doors, empty = Seen(), Seen(), Seen()
    with (
        serving(serve_shop, folder) as ours,
        serving(serve_doors, folder) as emptied,
        serving(serve_nothing, folder) as bare,
    ):
        desks_at(ours, cookies[:4], 2, Seen())
        for _ in range(TURNS):
            desks_at(ours, cookies, seconds / TURNS, shop)
            desks_at(emptied, cookies, seconds / TURNS / 3, doors)
            desks_at(bare, cookies, seconds / TURNS / 3, empty)
    return shop, doors, empty


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--desks", type=int, default=50)
    asked.add_argument("--seconds", type=float, default=60)
    asked.add_argument("--write", action="store_true")
    told = asked.parse_args()
    multiprocessing.set_start_method("spawn")
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        cookies = cookies_for(folder, told.desks)
        shop, doors, empty = measure(folder, cookies, told.seconds)
    live, guarded, bare = (np.array(seen.live) * 1000 for seen in (shop, doors, empty))
    lines = [
        "| what | figure |",
        "|---|---|",
        f"| desks, seconds, a tap about every | {told.desks}, {told.seconds:g}, {PAUSE:g} s |",
        f"| live valuations | {len(live):,} |",
        f"| items saved | {shop.saved} |",
        f"| failed | {len(shop.failed)} |",
        f"| live valuation, median | {np.median(live):.1f} ms |",
        f"| live valuation, 99 of 100 within | {np.quantile(live, 0.99):.0f} ms |",
        f"| empty route, median | {np.median(bare):.1f} ms |",
        f"| empty route, 99 of 100 within | {np.quantile(bare, 0.99):.0f} ms |",
        f"| ratio of the medians | {np.median(live) / np.median(bare):.1f} |",
        f"| the same address emptied, median | {np.median(guarded):.1f} ms |",
        f"| ratio to it | {np.median(live) / np.median(guarded):.1f} |",
    ]
    text = "\n".join(lines)
    print(text)
    print(*sorted(set(shop.failed))[:5], sep="\n")
    if told.write:
        TABLE.write_text(
            "# Fifty desks at once\n\n`python tests/benchmarks/desks.py --write`, two cores, "
            f"the desks on the same machine.\n\n{text}\n",
            encoding="utf-8",
        )


if __name__ == "__main__":
    main()
