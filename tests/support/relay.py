"""A wire to a database that can be cut and mended: a relay of bytes, in this process."""

from __future__ import annotations

import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from running_shop import HERE, free_port
from sqlalchemy import make_url


class Relay:
    """Passes bytes on between a port of this machine and a PostgreSQL server, while it may."""

    def __init__(self, address: str) -> None:
        self._url = make_url(address)
        self.port = free_port()
        self._door: socket.socket | None = None
        self._lines: list[socket.socket] = []

    @property
    def address(self) -> str:
        """Where the shop finds its records: the same database, by this wire."""
        url = self._url.set(host=HERE, port=self.port, query={})
        return url.render_as_string(hide_password=False)

    def mend(self) -> None:
        door = socket.create_server((HERE, self.port))
        self._door = door
        threading.Thread(target=self._let_in, args=(door,), daemon=True).start()

    def cut(self) -> None:
        """Nobody is let in any more, and every line is broken."""
        door, self._door = self._door, None
        for one in [*([door] if door else []), *self._lines]:
            with suppress(OSError):
                one.shutdown(socket.SHUT_RDWR)
            one.close()
        self._lines.clear()

    def _let_in(self, door: socket.socket) -> None:
        while True:
            try:
                here, _ = door.accept()
            except OSError:
                return
            there = self._reach()
            self._lines += [here, there]
            for one, other in ((here, there), (there, here)):
                threading.Thread(target=_pass_on, args=(one, other), daemon=True).start()

    def _reach(self) -> socket.socket:
        place = str(self._url.query.get("host", self._url.host or HERE))
        port = self._url.port or 5432
        if place.startswith("/"):
            line = socket.socket(socket.AF_UNIX)
            line.connect(str(Path(place) / f".s.PGSQL.{port}"))
            return line
        return socket.create_connection((place, port))


def _pass_on(one: socket.socket, other: socket.socket) -> None:
    with suppress(OSError):
        while data := one.recv(65_536):
            other.sendall(data)
    for line in (one, other):
        with suppress(OSError):
            line.shutdown(socket.SHUT_RDWR)


@contextmanager
def relay_to(address: str) -> Iterator[Relay]:
    """A wire that is whole at first."""
    wire = Relay(address)
    wire.mend()
    try:
        yield wire
    finally:
        wire.cut()
