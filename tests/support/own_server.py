"""The shop's own server, in a thread of this process, for what is measured as a shop has it."""

from __future__ import annotations

import socket
import threading

from flask import Flask

from resale.web.http_server import http_server


def start_own_server(app: Flask) -> str:
    """Serve until this process ends; gives the address."""
    door = socket.create_server(("127.0.0.1", 0))
    server = http_server(app, door, app.extensions["resale"].settings)
    threading.Thread(target=server.run, daemon=True, name="own server").start()
    return f"http://127.0.0.1:{door.getsockname()[1]}"
