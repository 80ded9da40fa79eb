"""A real Chromium on a real server, on this machine alone."""

from __future__ import annotations

import os
import shutil
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright
from signed_in import session_cookie
from werkzeug.serving import WSGIRequestHandler, make_server

from resale.storage.people.people import Role
from resale.web import create_app

BROWSERS = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
]
# Patience for a machine that has other work; what never comes still fails.
expect.set_options(timeout=30_000)
Open = Callable[..., Page]


class _Quiet(WSGIRequestHandler):
    def log(self, *_: Any, **__: Any) -> None:
        """Say nothing: the test says what went wrong."""


class Desk:
    """A browser whose windows are signed in at the shop that is being looked at."""

    def __init__(self, browser: Browser) -> None:
        self.browser = browser
        self.app: Flask | None = None
        self.address = ""

    def new_context(self, role: Role | None = "owner", **more: Any) -> BrowserContext:
        """A window of somebody of that role; of a stranger where it is None."""
        context = self.browser.new_context(**more)
        if self.app is not None and role is not None:
            value = session_cookie(self.app, role)
            context.add_cookies([{"name": "resale", "value": value, "url": self.address}])
        return context

    def new_page(self, **more: Any) -> Page:
        """One page in a window of its own, which closes with it."""
        context = self.new_context(**more)
        page = context.new_page()
        page.on("close", lambda _: context.close())
        return page


@pytest.fixture(scope="session")
def browser() -> Iterator[Desk]:
    found = next(filter(None, map(shutil.which, BROWSERS)), None)
    if found is None:
        if os.environ.get("CI") == "true":
            pytest.fail("No Chromium is installed, and CI must look at every screen.")
        pytest.skip("No Chromium is installed.")
    with sync_playwright() as player:
        one = player.chromium.launch(executable_path=found, args=FLAGS)
        yield Desk(one)
        one.close()


@pytest.fixture
def restarted(browser: Desk, tmp_path: Path) -> Callable[[], BrowserContext]:
    """Start a browser whose profile lies on disk, once more each time."""

    def start() -> BrowserContext:
        kind = browser.browser.browser_type
        found = next(filter(None, map(shutil.which, BROWSERS)))
        return kind.launch_persistent_context(
            tmp_path / "profile", executable_path=found, args=FLAGS, service_workers="block"
        )

    return start


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory, browser: Desk) -> Iterator[str]:
    """Address of a server with a fresh shop for each file of tests."""
    folder: Path = tmp_path_factory.mktemp("shop")
    with serving(create_app(folder), browser) as found:
        yield found


@contextmanager
def serving(app: Flask, browser: Desk) -> Iterator[str]:
    """Serve a shop, and let the browser sign in there."""
    server = make_server("127.0.0.1", 0, app, threaded=True, request_handler=_Quiet)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    browser.app, browser.address = app, f"http://127.0.0.1:{server.port}"
    yield browser.address
    browser.app = None
    server.shutdown()
    thread.join()
    server.server_close()


@pytest.fixture
def open_page(browser: Desk, address: str) -> Iterator[Open]:
    """Open a page in a context of its own; anything the page complains of fails the test."""
    contexts, complaints = [], []

    def open_one(path: str = "/", *, width: int = 1280, height: int = 800, **more: Any) -> Page:
        # The worker that keeps the Bench has tests of its own; here it would only ask for pages.
        more.setdefault("service_workers", "block")
        context = browser.new_context(viewport={"width": width, "height": height}, **more)
        context.set_default_timeout(15_000)
        contexts.append(context)
        page = context.new_page()
        # With where it came from: of what drives the browser, an error is none of the page's.
        page.on(
            "pageerror",
            lambda error: (
                complaints.append(f"{error}\n{error.stack}")
                if address in (error.stack or address)
                else None
            ),
        )
        page.on(
            "console",
            lambda said: (
                complaints.append(said.text)
                # A tap that overtakes another takes its place; that is no complaint.
                # What the program refuses, a test looks at itself.
                if said.type == "error" and not said.text.startswith(("htmx:", "Failed to load"))
                else None
            ),
        )
        page.goto(address + path)
        return page

    yield open_one
    for context in contexts:
        context.close()
    assert complaints == []
