"""The HTTP server that stands before the application: its limits, and whose word it trusts.

A visitor's own address and scheme come from X-Forwarded-For and X-Forwarded-Proto, as the proxy
in front writes them. These are common practice without a standard of their own; RFC 7239,
sections 5.2 and 5.4, gives the same two as `for` and `proto` of Forwarded, and its section 8.1
says why they are worth nothing from anybody but a proxy that is known.
"""

from __future__ import annotations

import gc
import logging
import math
import socket
import sys
from collections.abc import Iterable
from typing import Any
from wsgiref.types import StartResponse, WSGIApplication, WSGIEnvironment

from flask import Flask
from waitress.adjustments import Adjustments
from waitress.server import TcpWSGIServer

from resale.config.settings import Settings
from resale.web.core.security import FORM_BYTES
from resale.web.items.photos import AT_ONCE
from resale.web.ledger.import_views import LARGEST

THREADS = 8
# A desk's browser keeps some six connections open, and asks again at once where one was closed.
CONNECTIONS = 400
# Each connection takes a descriptor, and with a body under way up to two more.
DESCRIPTORS = 3 * CONNECTIONS
CLOSED_AT_ONCE = 16
# Of requests that wait for a thread: each for about half a second then.
MANY_WAITING = 10 * THREADS
A_MINUTE = 60.0
IDLE_SECONDS = 30
HEAD_BYTES = 64_000
ELSEWHERE = "This shop is opened through its proxy only, by the address https://{name}/\n"


def http_server(app: Flask, door: socket.socket, settings: Settings) -> TcpWSGIServer:
    """Make the server of a shop.

    Parameters
    ----------
    app : Flask
        The application.
    door : socket.socket
        Bound and listening.
    settings : Settings
        The application's own: what it trusts and what the server trusts cannot part.

    Returns
    -------
    TcpWSGIServer
        Not running yet.
    """
    _allow_descriptors()
    logging.getLogger("waitress.queue").addFilter(LongQueue())
    # What was read at the start stays to the end: without this, looking through it for what could
    # be given back stops every desk for a tenth of a second and more, again and again.
    gc.freeze()
    behind = through_proxy_only(app.wsgi_app, settings) if settings.proxies else app.wsgi_app
    said = Adjustments(
        sockets=[door],
        threads=THREADS,
        ident=None,
        connection_limit=CONNECTIONS,
        channel_timeout=IDLE_SECONDS,
        cleanup_interval=5,
        # select() knows no descriptor above 1,023.
        asyncore_use_poll=True,
        # Said from its Content-Length, before a byte of a larger body is kept.
        max_request_body_size=most_bytes(settings),
        max_request_header_size=HEAD_BYTES,
        # A visitor who hangs up is no fault of the program.
        log_socket_errors=False,
        **_trust(settings),
    )
    return _RoomForTheNext(
        behind,
        adj=said,
        _sock=door,
        bind_socket=False,
        sockinfo=(door.family, door.type, door.proto, door.getsockname()),
    )


def most_bytes(settings: Settings) -> int:
    """Bytes of the largest body that any address takes; each has a limit of its own below it."""
    return max(LARGEST, AT_ONCE * settings.photo_mb * 1_000_000) + FORM_BYTES


def _trust(settings: Settings) -> dict[str, Any]:
    """Whose headers on a visitor's address are heeded; everybody else's are taken off."""
    if not settings.proxies:
        return {"clear_untrusted_proxy_headers": True}
    return {
        "trusted_proxy": settings.proxy_address,
        "trusted_proxy_count": settings.proxies,
        "trusted_proxy_headers": {"x-forwarded-for", "x-forwarded-proto"},
        "clear_untrusted_proxy_headers": True,
    }


def through_proxy_only(inner: WSGIApplication, settings: Settings) -> WSGIApplication:
    """Refuse whoever comes past the proxy: nothing is known of the wire or the address then.

    The server took the proxy's headers off every request that came from elsewhere.

    Parameters
    ----------
    inner : WSGIApplication
        The application.
    settings : Settings
        For the name under which the shop is reached, said to whoever is refused.
    """
    name = settings.hosts[0] if settings.hosts else "..."
    line = ELSEWHERE.format(name=name).encode()
    head = [
        ("Content-Type", "text/plain; charset=utf-8"),
        ("Content-Length", str(len(line))),
        ("Cache-Control", "no-store"),
        ("X-Content-Type-Options", "nosniff"),
    ]

    def application(environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        if environ.get("HTTP_X_FORWARDED_FOR") and environ.get("HTTP_X_FORWARDED_PROTO"):
            return inner(environ, start_response)
        start_response("403 Forbidden", head)
        return [line]

    return application


class LongQueue(logging.Filter):
    """Say that requests wait where they are many, once a minute, and not each time that one does.

    With a few desks that tap at the same moment one of them waits some milliseconds.
    """

    def __init__(self) -> None:
        super().__init__()
        self._said = -math.inf

    def filter(self, record: logging.LogRecord) -> bool:
        """Whether the server's line on its queue is written."""
        waiting = record.args[0] if isinstance(record.args, tuple) and record.args else 0
        lately = record.created - self._said < A_MINUTE
        if not isinstance(waiting, int) or waiting < MANY_WAITING or lately:
            return False
        self._said = record.created
        record.msg = "%d requests wait to be answered"
        return True


class _RoomForTheNext(TcpWSGIServer):  # type: ignore[misc]
    """A server that closes the longest idle connections when it is full, and not the door."""

    def readable(self) -> bool:
        """Whether the next visitor can be let in; asked before each round of the loop."""
        if len(self._map) >= self.adj.connection_limit - CLOSED_AT_ONCE:
            # Whose request is being answered stays; a body on its way goes after the idle.
            idle = [one for one in self.active_channels.values() if not one.requests]
            idle.sort(key=lambda one: (one.request is not None, one.last_activity))
            for channel in idle[:CLOSED_AT_ONCE]:
                channel.will_close = True
        return bool(super().readable())


def _allow_descriptors() -> None:
    """Ask the system for as many open files as the connections take; some give 256."""
    if sys.platform == "win32":
        return
    import resource  # noqa: PLC0415 - there is none on Windows

    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = DESCRIPTORS if hard == resource.RLIM_INFINITY else min(DESCRIPTORS, hard)
    if soft != resource.RLIM_INFINITY and soft < wanted:
        resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, hard))
