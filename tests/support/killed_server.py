"""The real server, run by its command in a process of its own, to be killed at any moment.

Loading the program takes seconds; so one process loads it once, and forks a server each time it
is asked. What is killed is a whole process, by SIGKILL, which no program can catch.
"""

from __future__ import annotations

import http.client
import os
import re
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO
from urllib.parse import urlencode

ROOT = Path(__file__).parents[2]
NURSERY = """
import os, sys
import waitress, resale.web
from resale.cli.main import commands
for _ in sys.stdin:
    child = os.fork()
    if not child:
        print("pid", os.getpid(), flush=True)
        words = ["open", "--port", "0", "--no-browser", "--folder", sys.argv[1]]
        commands.main(words, standalone_mode=False)
        os._exit(0)
    os.waitpid(child, 0)
    print("gone", flush=True)
"""
PASSWORD = "seven invented ducks on a pond"  # noqa: S105 - of a shop that is gone in a moment


class Shop:
    """A shop whose server is started and killed; signed in once, as its first owner."""

    def __init__(self, orders: IO[str], said: IO[str]) -> None:
        self._orders, self._said = orders, said
        self.pid = self.port = 0
        self.cookie = self.token = ""
        self._is_in = False

    def start(self) -> None:
        self._orders.write("start\n")
        self._orders.flush()
        self.pid = int(self._until(r"pid (\d+)"))
        self.port = int(self._until(r"http://127\.0\.0\.1:(\d+)/"))
        if not self.cookie:
            self._come_in(self._until(r"/enter/(\S+)"))

    def kill(self) -> None:
        os.kill(self.pid, signal.SIGKILL)
        self._until("(gone)")

    def post(self, path: str, **fields: str) -> tuple[int, str]:
        """Send a form; give the status and where it leads."""
        return self._ask("POST", path, urlencode({"csrf_token": self.token, **fields}))[:2]

    def _come_in(self, link: str) -> None:
        page = self._ask("GET", f"/enter/{link}")[2]
        self.token = self._token_on(page)
        told = {"name": "Ottoline", "password": PASSWORD, "again": PASSWORD}
        status, _ = self.post(f"/enter/{link}", **told)
        assert status == 303
        self.token = self._token_on(self._ask("GET", "/bench/bag")[2])
        # The key that signs it outlives the server: one session lasts through every kill.
        self._is_in = True

    def _ask(self, method: str, path: str, body: str = "") -> tuple[int, str, str]:
        headers = {"Cookie": self.cookie, "Content-Type": "application/x-www-form-urlencoded"}
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        try:
            line.request(method, path, body, headers)
            answer = line.getresponse()
            for cookie in answer.headers.get_all("Set-Cookie") or ():
                if not self._is_in:
                    self.cookie = cookie.split(";")[0]
            return answer.status, answer.headers.get("Location", ""), answer.read().decode()
        finally:
            line.close()

    @staticmethod
    def _token_on(page: str) -> str:
        found = re.search(r'name="csrf_token" value="([^"]+)"', page)
        assert found is not None
        return found[1]

    def _until(self, pattern: str) -> str:
        for line in self._said:
            found = re.search(pattern, line)
            if found:
                return found[1]
        raise AssertionError(f"the server ended without saying {pattern}")


@contextmanager
def shop_to_kill(folder: Path) -> Iterator[Shop]:
    """A shop in a folder, its server not started yet; whatever still runs at the end is ended."""
    folder.mkdir(parents=True, exist_ok=True)
    process = subprocess.Popen(
        [sys.executable, "-c", NURSERY, str(folder)],
        env={**os.environ, "PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1"},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdin is not None and process.stdout is not None
    shop = Shop(process.stdin, process.stdout)
    try:
        yield shop
    finally:
        if shop.pid:
            with suppress(ProcessLookupError):
                os.kill(shop.pid, signal.SIGKILL)
        process.stdin.close()
        process.wait(timeout=30)
        process.stdout.close()


def all_at_once(count: int, work) -> None:
    """Run a piece of work in several threads, and wait for them all."""
    threads = [threading.Thread(target=work) for _ in range(count)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
