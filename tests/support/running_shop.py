"""The real server, run by its command in a process of its own, and visitors who speak to it."""

from __future__ import annotations

import http.client
import os
import re
import socket
import ssl
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

import nursery
from nursery import ROOT, Child

PASSWORD = "seven invented ducks on a pond"  # noqa: S105 - of a shop that is gone in a moment
HERE = "127.0.0.1"


@dataclass
class Answer:
    """What came back."""

    status: int
    headers: http.client.HTTPMessage
    text: str


@dataclass
class Visitor:
    """A browser, as far as the doors see one: it keeps its cookies.

    Attributes
    ----------
    name : str
        Host by which it opens the shop.
    source : str
        Its own address; anything in 127.0.0.0/8 is this machine.
    trust : ssl.SSLContext or None
        Whose certificates it trusts; None speaks plain HTTP.
    """

    port: int
    name: str = HERE
    source: str = HERE
    trust: ssl.SSLContext | None = None
    headers: Mapping[str, str] = field(default_factory=dict)
    cookies: dict[str, str] = field(default_factory=dict)
    reach: str = HERE

    def get(self, path: str) -> Answer:
        return self.ask("GET", path)

    def post(self, path: str, page: str = "", **fields: str) -> Answer:
        """Send a form with the token of the page that it stands on."""
        token = hidden(self.get(page or path).text, "csrf_token")
        return self.ask("POST", path, urlencode({"csrf_token": token, **fields}))

    def send(self, path: str, page: str, **fields: str) -> Answer:
        """Send the form of a page that is open already."""
        fields = {name: hidden(page, name) for name in ("csrf_token", "key")} | fields
        return self.ask("POST", path, urlencode(fields))

    def ask(self, method: str, path: str, body: str | bytes = "", **more: str) -> Answer:
        line = self.line()
        headers = {"Content-Type": "application/x-www-form-urlencoded", **self.headers, **more}
        headers.setdefault("Host", f"{self.name}:{self.port}")
        if self.trust:
            headers["Referer"] = f"https://{headers['Host']}/"
        if self.cookies:
            headers["Cookie"] = "; ".join(f"{name}={said}" for name, said in self.cookies.items())
        try:
            line.request(method, path, body, headers)
            answer = line.getresponse()
            for cookie in answer.headers.get_all("Set-Cookie") or ():
                name, said = cookie.split(";")[0].split("=", 1)
                self.cookies[name] = said
            return Answer(answer.status, answer.headers, answer.read().decode(errors="replace"))
        finally:
            line.close()

    def line(self) -> http.client.HTTPConnection:
        """A connection of its own, from the visitor's own address."""
        here = socket.create_connection((self.reach, self.port), 60, (self.source, 0))
        if self.trust:
            here = self.trust.wrap_socket(here, server_hostname=self.name)
        line = http.client.HTTPConnection(self.name, self.port)
        line.sock = here
        return line

    def become_owner(self, link: str, name: str = "Ottoline") -> None:
        """Take the first link up."""
        path = link[link.index("/enter/") :]
        told = {"name": name, "password": PASSWORD, "again": PASSWORD}
        assert self.post(path, **told).status == 303


@dataclass
class Running:
    """A shop that is open.

    Attributes
    ----------
    link : str
        The first owner's, as the command printed it; empty where there is an owner.
    log : Path
        What the process said on its standard error.
    """

    process: Child
    port: int
    address: str
    link: str
    log: Path

    def visitor(self, **more) -> Visitor:
        return Visitor(self.port, **more)


@contextmanager
def running_shop(
    folder: Path, *words: str, owned: bool = False, log: str = "", **environment: str
) -> Iterator[Running]:
    """Open a shop by its command at a free port, and close it in the end."""
    port = free_port()
    folder.mkdir(parents=True, exist_ok=True)
    written = folder.parent / f"{log or folder.name}.log"
    with written.open("w") as said:
        process = nursery.start(
            ["open", "--no-browser", "--port", str(port), "--folder", str(folder), *words],
            surroundings(**environment),
            stderr=said,
        )
    try:
        yield _opened(process, port, written, owned)
    finally:
        process.kill()
        process.wait(timeout=30)
        assert process.stdout is not None
        process.stdout.close()


def _opened(process: Child, port: int, log: Path, owned: bool) -> Running:
    address = link = ""
    assert process.stdout is not None
    for line in process.stdout:
        found = re.search(r"The shop is open at (\S+)", line)
        address = found[1] if found else address
        entry = re.search(r"becomes it: (\S+)", line)
        link = entry[1] if entry else link
        # The line that follows holds the first owner's link, where the shop has no owner yet.
        if link or (address and owned):
            return Running(process, port, address, link, log)
    raise AssertionError(f"the shop did not open: {log.read_text()}")


def surroundings(**more: str) -> dict[str, str]:
    """The environment of a command of ours, with nothing that leads to another shop."""
    kept = {name: said for name, said in os.environ.items() if not name.startswith("RESALE_")}
    return {
        **kept,
        "PYTHONPATH": str(ROOT),
        "PYTHONUNBUFFERED": "1",
        "OPENBLAS_NUM_THREADS": "1",
        "RESALE_OPENING_PRICES_HOLD": "true",
        **more,
    }


def free_port() -> int:
    with socket.socket() as one:
        one.bind((HERE, 0))
        return one.getsockname()[1]


def hidden(page: str, name: str) -> str:
    """A hidden field of a page."""
    found = re.search(rf'name="{name}" value="([^"]*)"', page)
    assert found is not None, page[:2000]
    return found[1]
