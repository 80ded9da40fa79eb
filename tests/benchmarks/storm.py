"""Twenty desks at work while a stranger fills the server and a lead brings hostile files.

    python tests/benchmarks/storm.py --desks 20 --idle 200 --files 20

Each desk asks for a live price about once a second. First nothing else happens; then, in the same
run, so many connections stand open without a word, and so many files that were made to hurt (rows
and columns far from any table, entities, archives that blow up) are brought one after the other.
It says the longest that any desk waited, in both halves. All traffic stays on loopback.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import socket
import sys
import tempfile
import threading
import time
from contextlib import ExitStack
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))
from desks import Seen, cookies_for, desks_at
from hostile_workbooks import entities, far_column, far_row, inflating
from running_shop import HERE, Running, Visitor, hidden, running_shop

EDGE = "an-edge-of-parts"


def bring(owner: Visitor, content: bytes, name: str) -> int:
    """Send a file as a browser does; give the status of the answer."""
    token = hidden(owner.get("/ledger/bring").text, "csrf_token")
    head = "Content-Disposition: form-data; name="
    body = (
        f'--{EDGE}\r\n{head}"csrf_token"\r\n\r\n{token}\r\n'
        f'--{EDGE}\r\n{head}"file"; filename="{name}"\r\n\r\n'
    ).encode()
    parts = {"Content-Type": f"multipart/form-data; boundary={EDGE}"}
    return owner.ask(
        "POST", "/ledger/bring", body + content + f"\r\n--{EDGE}--\r\n".encode(), **parts
    ).status


def storm(shop: Running, owner: Visitor, idle: int, files: int, taken: list[int]) -> None:
    """Hold connections open and bring the files, until all of them were answered."""
    hostile = [far_row(), far_column(), entities(), inflating(200)]
    with ExitStack() as stack:
        for _ in range(idle):
            line = socket.create_connection((HERE, shop.port), 10)
            stack.callback(line.close)
        for number in range(files):
            taken.append(bring(owner, hostile[number % 4], f"{number}.xlsx"))
        while any(thread.name == "desk" and thread.is_alive() for thread in threading.enumerate()):
            time.sleep(0.1)


def halves(folder: Path, told: argparse.Namespace) -> tuple[Seen, Seen, list[int]]:
    """Let the desks work, first alone and then in the storm."""
    cookies, calm, wild = cookies_for(folder, told.desks), Seen(), Seen()
    taken: list[int] = []
    with running_shop(folder, owned=True) as shop:
        owner = shop.visitor()
        owner.cookies["resale"] = cookies_for(folder, 1, "owner")[0]
        desks_at(shop.port, cookies, 2, Seen())
        desks_at(shop.port, cookies, told.seconds, calm)
        stranger = threading.Thread(
            target=storm, args=(shop, owner, told.idle, told.files, taken), daemon=True
        )
        stranger.start()
        desks_at(shop.port, cookies, told.seconds, wild)
        stranger.join(timeout=120)
    return calm, wild, taken


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--desks", type=int, default=20)
    asked.add_argument("--idle", type=int, default=200)
    asked.add_argument("--files", type=int, default=20)
    asked.add_argument("--seconds", type=float, default=30)
    told = asked.parse_args()
    multiprocessing.set_start_method("spawn")
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    with tempfile.TemporaryDirectory() as place:
        (Path(place) / "shop").mkdir()
        calm, wild, taken = halves(Path(place) / "shop", told)
    print("| half | live valuations | failed | median | longest wait |\n|---|---|---|---|---|")
    for name, seen in (("calm", calm), ("storm", wild)):
        live = np.array(seen.live)
        print(
            f"| {name} | {len(live):,} | {len(seen.failed)} "
            f"| {1000 * np.median(live):.0f} ms | {live.max():.2f} s |"
        )
    print(f"{told.idle} idle connections, {len(taken)} files answered: {sorted(set(taken))}")
    print(*sorted(set(wild.failed))[:5], sep="\n")


if __name__ == "__main__":
    main()
