"""Real servers in processes of their own, several of one shop, asked as a browser would."""

from __future__ import annotations

import http.client
import os
import re
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from html import unescape
from pathlib import Path
from urllib.parse import urlencode, urlsplit

import nursery
from nursery import ROOT, Child

PASSWORD = "seven invented ducks on a pond"  # noqa: S105 - of a shop that is gone in a moment


class Server:
    """One process that serves a shop, and a browser of somebody at it."""

    def __init__(self, process: Child) -> None:
        self.process = process
        self.link = ""
        self.cookie = ""
        self.port = int(self._until(r"The shop is open at http://127\.0\.0\.1:(\d+)/"))

    def become_owner(self, name: str = "Ottoline") -> None:
        """Take up the link that the server printed."""
        link = self._until(r"Whoever opens this link becomes it: http://[^/]+(/enter/\S+)")
        told = {"name": name, "password": PASSWORD, "again": PASSWORD}
        self._in(link, link, told)

    def sign_in(self, name: str = "Ottoline") -> None:
        self._in("/sign-in", "/sign-in", {"name": name, "password": PASSWORD})

    def get(self, path: str) -> tuple[int, str]:
        """Open a page, following where it leads."""
        for _ in range(60):
            status, to, text = self._ask("GET", path)
            if status not in {302, 303}:
                return status, text
            path = to
        raise AssertionError(f"{path} leads round in circles")

    def post(self, path: str, page: str = "", /, **fields: str) -> tuple[int, str, str]:
        """Send a form, with the token of a page; give status, where it leads, and text."""
        token = self._token(self.get(page or path)[1])
        return self._ask("POST", path, {"csrf_token": token, **fields})

    def settled(self, path: str) -> tuple[str, str]:
        """Where a piece of work leads in the end, and the page there."""
        until = time.monotonic() + 60
        while path.startswith("/work/"):
            assert time.monotonic() < until, f"{path} does not end"
            status, to, text = self._ask("GET", path)
            assert status in {200, 303}, text
            path = to or path
        return path, self.get(path)[1]

    def _in(self, page: str, path: str, fields: dict[str, str]) -> None:
        token = self._token(self._ask("GET", page)[2])
        status, _, text = self._ask("POST", path, {"csrf_token": token, **fields})
        assert status == 303, text

    def _ask(
        self, method: str, path: str, fields: dict[str, str] | None = None
    ) -> tuple[int, str, str]:
        parts = urlsplit(path)
        where = parts.path + (f"?{parts.query}" if parts.query else "")
        headers = {"Cookie": self.cookie, "Content-Type": "application/x-www-form-urlencoded"}
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        try:
            line.request(method, where, urlencode(fields or {}), headers)
            answer = line.getresponse()
            for cookie in answer.headers.get_all("Set-Cookie") or ():
                self.cookie = cookie.split(";")[0]
            return answer.status, answer.headers.get("Location", ""), answer.read().decode()
        finally:
            line.close()

    @staticmethod
    def _token(page: str) -> str:
        found = re.search(r'name="csrf_token" value="([^"]+)"', page)
        assert found is not None, page
        return unescape(found[1])

    def _until(self, pattern: str) -> str:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            found = re.search(pattern, line)
            if found:
                return found[1]
        raise AssertionError(f"the server ended without saying {pattern}")


def command(folder: Path, *words: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run a command in a process of its own."""
    if words[0] != "bring-back":
        folder.mkdir(parents=True, exist_ok=True)
    return nursery.run([*words, "--folder", str(folder)], _environment(environment))


@contextmanager
def server(folder: Path, **environment: str) -> Iterator[Server]:
    """Serve a shop from a process of its own."""
    folder.mkdir(parents=True, exist_ok=True)
    words = ["open", "--port", "0", "--no-browser", "--folder", str(folder)]
    process = nursery.start(words, _environment(environment))
    try:
        yield Server(process)
    finally:
        process.terminate()
        process.wait(timeout=30)
        if process.stdout is not None:
            process.stdout.close()


def _environment(more: dict[str, str]) -> dict[str, str]:
    mine = {name: text for name, text in os.environ.items() if not name.startswith("RESALE_")}
    return {**mine, "PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1", **more}
