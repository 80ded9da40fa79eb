"""The names that a shop answers to: another one is a page of somebody else's making.

Werkzeug's own list of trusted hosts cannot hold an IPv6 address, whose colons it takes for a port
(seen in 3.1), so the names are compared here. OWASP ASVS 5.0, 4.1.3; CWE-350, DNS rebinding.
"""

from __future__ import annotations

from collections.abc import Iterable

from flask import Flask, current_app, request
from werkzeug.exceptions import SecurityError

from resale.config.loopback import without_port

NAMES = "ANSWERS_TO"
LOOPBACK = ("localhost", "127.0.0.1", "[::1]")


def init_app(app: Flask, names: Iterable[str]) -> None:
    """Let an application answer to its own machine and to these names, before anything else.

    Parameters
    ----------
    app : Flask
    names : iterable of str
        Host names without a port.
    """
    app.config[NAMES] = {*LOOPBACK, *(without_port(name).casefold() for name in names)}
    app.before_request(_refuse_strange_names)


def _refuse_strange_names() -> None:
    if without_port(request.host).casefold() not in current_app.config[NAMES]:
        raise SecurityError(f"Host {request.host!r} is not one of this shop's")
