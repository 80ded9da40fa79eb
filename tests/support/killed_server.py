"""The real server, run by its command in a process of its own, to be killed at any moment.

What is killed is a whole process, by SIGKILL, which no program can catch.
"""

from __future__ import annotations

import http.client
import os
import re
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlencode

import nursery
from nursery import Child

PASSWORD = "seven invented ducks on a pond"  # noqa: S105 - of a shop that is gone in a moment


class Shop:
    """A shop whose server is started and killed; signed in once, as its first owner."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._process: Child | None = None
        self.port = 0
        self.cookie = self.token = ""
        self._is_in = False

    def start(self) -> None:
        words = ["open", "--port", "0", "--no-browser", "--folder", str(self._folder)]
        self._process = nursery.start(words, os.environ)
        self.port = int(self._until(r"http://127\.0\.0\.1:(\d+)/"))
        if not self.cookie:
            self._come_in(self._until(r"/enter/(\S+)"))

    def kill(self) -> None:
        if self._process is not None:
            self._process.kill()
            self._process.wait(timeout=30)
            self._process.stdout.close()
            self._process = None

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
        for line in self._process.stdout:
            found = re.search(pattern, line)
            if found:
                return found[1]
        raise AssertionError(f"the server ended without saying {pattern}")


@contextmanager
def shop_to_kill(folder: Path) -> Iterator[Shop]:
    """A shop in a folder, its server not started yet; whatever still runs at the end is ended."""
    folder.mkdir(parents=True, exist_ok=True)
    shop = Shop(folder)
    try:
        yield shop
    finally:
        shop.kill()


def all_at_once(count: int, work) -> None:
    """Run a piece of work in several threads, and wait for them all."""
    threads = [threading.Thread(target=work) for _ in range(count)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
