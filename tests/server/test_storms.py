"""What one visitor sends or leaves open keeps no other waiting: asked of the real server.

OWASP ASVS 5.0, 13.1.2 and 13.2.6: what happens at the most connections is decided and tried.
Each line here waits at most ten seconds; a server that lets itself be filled takes minutes.
"""

from __future__ import annotations

import re
import socket
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from running_shop import HERE, Running, running_shop

from resale.web.http_server import CONNECTIONS

PATIENCE = 10


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    with running_shop(tmp_path_factory.mktemp("stormed") / "shop") as running:
        yield running


def _asked(shop: Running, head: str) -> bytes:
    """What comes back to a head alone."""
    with socket.create_connection((HERE, shop.port), PATIENCE) as line:
        line.sendall(head.encode())
        return line.recv(4096)


SIGN_IN = "GET /sign-in HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"


@pytest.mark.parametrize(
    "begun", [pytest.param("", marks=pytest.mark.long), "GET /sign-in HTTP/1.1\r\nHost: 127"]
)
def test_hundreds_of_idle_connections_keep_nobody_out(shop: Running, begun: str) -> None:
    """More than the server holds: the longest idle ones go, and the next visitor is let in."""
    with ExitStack() as stack:
        for _ in range(CONNECTIONS + 100):
            idle = socket.create_connection((HERE, shop.port), PATIENCE)
            stack.callback(idle.close)
            idle.sendall(begun.encode())
        assert _asked(shop, SIGN_IN).startswith(b"HTTP/1.1 200")


@pytest.mark.parametrize("path", ["/sign-in", "/items/Q-00001/photos", "/ledger/bring"])
def test_a_huge_body_is_refused_before_a_byte_of_it_is_kept(shop: Running, path: str) -> None:
    head = f"POST {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 300000000\r\n\r\n"
    assert _asked(shop, head).startswith(b"HTTP/1.1 413")


def test_a_huge_head_is_refused(shop: Running) -> None:
    head = f"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Long: {'x' * 100_000}\r\n\r\n"
    assert re.match(rb"HTTP/1.\d 431", _asked(shop, head))


@pytest.mark.parametrize(
    ("host", "address"),
    [("::1", "[::1]"), pytest.param("127.0.0.2", "127.0.0.2", marks=pytest.mark.long)],
)
def test_every_address_of_this_machine_answers_under_its_own_name(
    tmp_path: Path, host: str, address: str
) -> None:
    with running_shop(tmp_path / "shop", "--host", host) as running:
        assert running.address == f"http://{address}:{running.port}/"
        visitor = running.visitor(reach=host, name=address, source=host)
        page = visitor.get("/sign-in")
        assert page.status == 200 and "came over a plain wire" not in page.text
