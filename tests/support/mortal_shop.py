"""A shop's machine that dies and comes back on the same address."""

from __future__ import annotations

import socket
import threading
from contextlib import suppress
from pathlib import Path
from typing import Any

from flask import Response, request
from playwright.sync_api import BrowserContext
from signed_in import session_cookie, token_for
from werkzeug.serving import BaseWSGIServer, WSGIRequestHandler, make_server

from resale.storage.items.item_pages import ItemLine, items_page
from resale.storage.people.people import Role
from resale.web import create_app


class _Quiet(WSGIRequestHandler):
    def log(self, *_: Any, **__: Any) -> None:
        """Say nothing: the test says what went wrong."""


class MortalShop:
    """One shop on one port.

    Attributes
    ----------
    posts : list of str
        Client keys of the saves that reached it.
    fails_with : int
        Answer of every save; 0 lets it be saved.
    drops_answers : bool
        Whether a save is kept and its answer lost on the way.
    """

    def __init__(self, folder: Path) -> None:
        self.app = create_app(folder)
        # A shop without an owner asks nobody to sign in.
        token_for(self.app, "owner")
        self.port = 0
        self.server: BaseWSGIServer | None = None
        self.doors: list[socket.socket] = []
        self.reset()
        self.app.before_request_funcs.setdefault(None, []).insert(0, self._at_the_door)
        self.app.after_request(self._on_the_way)
        self.start()

    def reset(self) -> None:
        self.posts: list[str] = []
        self.fails_with = 0
        self.drops_answers = False

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        if self.server is None:
            self.server = make_server(
                "127.0.0.1", self.port, self.app, threaded=True, request_handler=_Quiet
            )
            self.port = self.server.server_port
            self._count_doors(self.server)
            threading.Thread(target=self.server.serve_forever, args=(0.05,), daemon=True).start()

    def stop(self) -> None:
        if self.server is not None:
            self.server.shutdown()
            self.server.server_close()
            self.server = None
            # A dead machine answers nobody, also not those who had a line to it already: browsers
            # open one beforehand, and a save that came through it was no save to a dead machine.
            while self.doors:
                with suppress(OSError):
                    self.doors.pop().shutdown(socket.SHUT_RDWR)

    def _count_doors(self, server: BaseWSGIServer) -> None:
        took = server.process_request

        def process(door: Any, who: Any) -> None:
            self.doors.append(door)
            took(door, who)

        server.process_request = process  # type: ignore[method-assign]

    def saved(self) -> list[ItemLine]:
        return list(items_page(self.app.extensions["resale"].records).lines)

    def notes(self) -> list[str]:
        """Notes of the saved items, in order."""
        return sorted(line.note for line in self.saved())

    def sit(self, context: BrowserContext, role: Role | None) -> None:
        """Let a browser be that of somebody of a role; of a stranger where it is None."""
        context.clear_cookies()
        if role is not None:
            value = session_cookie(self.app, role)
            context.add_cookies([{"name": "resale", "value": value, "url": self.address}])

    def _at_the_door(self) -> Response | None:
        if request.path.endswith("/save"):
            self.posts.append(request.form["key"])
            if self.fails_with:
                return Response("", self.fails_with)
        return None

    def _on_the_way(self, answer: Response) -> Response:
        if self.drops_answers and request.path.endswith("/save"):
            return Response("", 502)
        return answer
