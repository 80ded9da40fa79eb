"""A passkey in a real Chromium, through its virtual authenticator (WebAuthn over DevTools)."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from playwright.sync_api import BrowserContext, expect
from signed_in import session_cookie
from werkzeug.serving import WSGIRequestHandler, make_server

from resale.storage.people.passwords import set_password
from resale.storage.people.people import person_named
from resale.web import create_app

pytestmark = pytest.mark.screen
GOOD = "linen buckle orchard"
# https://chromedevtools.github.io/devtools-protocol/tot/WebAuthn: a key of the device itself.
KEY = {
    "protocol": "ctap2",
    "transport": "internal",
    "hasResidentKey": True,
    "hasUserVerification": True,
    "isUserVerified": True,
    "automaticPresenceSimulation": True,
}


class _Quiet(WSGIRequestHandler):
    def log(self, *_: object, **__: object) -> None:
        """Say nothing: the test says what went wrong."""


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[tuple[Flask, str]]:
    """A shop by a name: browsers make no passkeys for bare numbers."""
    app = create_app(tmp_path)
    server = make_server("127.0.0.1", 0, app, threaded=True, request_handler=_Quiet)
    threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True).start()
    yield app, f"http://localhost:{server.server_port}"
    server.shutdown()
    server.server_close()


@pytest.fixture
def window(browser, shop: tuple[Flask, str]) -> Iterator[BrowserContext]:
    app, address = shop
    context = browser.browser.new_context()
    value = session_cookie(app, "owner")
    records = app.extensions["resale"].records
    person = person_named(records, "Ottoline")
    assert person is not None
    set_password(records, person, GOOD)
    context.add_cookies([{"name": "resale", "value": value, "url": address}])
    yield context
    context.close()


def test_a_passkey_is_made_asked_for_and_good_for_one_answer(
    window: BrowserContext, shop: tuple[Flask, str]
) -> None:
    _, address = shop
    page = window.new_page()
    devtools = window.new_cdp_session(page)
    devtools.send("WebAuthn.enable")
    made = devtools.send("WebAuthn.addVirtualAuthenticator", {"options": KEY})
    page.goto(f"{address}/you/second")
    page.fill("#password-passkey", GOOD)
    page.click("text=Make one")
    page.fill("#name", "Tablet at the rail")
    page.click("text=Make it")
    expect(page.locator(".bad-day-codes li")).to_have_count(8)
    expect(page.locator(".team-list")).to_contain_text("Tablet at the rail")
    authenticator = {"authenticatorId": made["authenticatorId"]}
    (credential,) = devtools.send("WebAuthn.getCredentials", authenticator)["credentials"]
    assert credential["rpId"] == "localhost"

    window.clear_cookies()
    page.goto(f"{address}/sign-in?next=/items")
    page.fill("#name", "Ottoline")
    page.fill("#password", GOOD)
    page.click("button[type=submit]")
    expect(page.locator("h1")).to_contain_text("One more step")
    with page.expect_request(lambda one: one.method == "POST") as sent:
        page.click("text=Use a passkey")
    expect(page).to_have_url(f"{address}/items")

    # What was answered once is worth nothing in the next sitting.
    body = sent.value.post_data or ""
    window.clear_cookies()
    page.goto(f"{address}/sign-in")
    page.fill("#name", "Ottoline")
    page.fill("#password", GOOD)
    page.click("button[type=submit]")
    expect(page.locator("h1")).to_contain_text("One more step")
    answer = page.evaluate(
        """async (body) => {
          const form = new URLSearchParams(body);
          form.set('csrf_token', document.querySelector('[name=csrf_token]').value);
          return (await fetch('/sign-in/second', {method: 'POST', body: form})).status;
        }""",
        body,
    )
    assert answer == 401


@pytest.mark.long
def test_without_scripts_or_a_passkey_the_app_s_code_still_has_its_field(
    window: BrowserContext, shop: tuple[Flask, str]
) -> None:
    page = window.new_page()
    page.goto(f"{shop[1]}/you/second")
    page.fill("#password-app", GOOD)
    page.click("text=Set it up")
    expect(page.locator("figure.seed svg")).to_be_visible()
