"""The README's tablets, followed to the letter: its settings, its proxy, its address, in Chromium.

The browser opens https://desk.example/ itself. A rule of its resolver leads that name and port 443
to where this test may listen, and it trusts the one certificate that was made for it. RFC 6238
gives the codes of the app (pyotp), WebAuthn the passkey (Chromium's virtual authenticator).
"""

from __future__ import annotations

import base64
import re
import shutil
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from pathlib import Path

import pyotp
import pytest
from conftest import BROWSERS, FLAGS
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from cryptography.x509 import load_pem_x509_certificate
from playwright.sync_api import Browser, Page, expect
from running_shop import HERE, running_shop
from tls_proxy import NAME, readme_block, tls_proxy

pytestmark = [pytest.mark.screen, pytest.mark.long]
PASSWORD = "linen buckle orchard"  # noqa: S105 - of a shop that is gone in a moment
STEP = timedelta(seconds=30)
# https://chromedevtools.github.io/devtools-protocol/tot/WebAuthn: a key of the device itself.
KEY = {
    "protocol": "ctap2",
    "transport": "internal",
    "hasResidentKey": True,
    "hasUserVerification": True,
    "isUserVerified": True,
    "automaticPresenceSimulation": True,
}


@pytest.fixture
def tablet(browser, tmp_path: Path) -> Iterator[tuple[Page, str]]:
    """A tablet, and the link that the shop printed when it was opened behind its proxy."""
    folder = tmp_path / "shop"
    folder.mkdir()
    (folder / "shop.toml").write_text(readme_block("tablets: shop.toml"))
    with running_shop(folder) as shop, tls_proxy(tmp_path, shop.port) as (port, _):
        chromium = led_to(browser.browser, port, tmp_path / "certificate.pem")
        page = chromium.new_context(service_workers="block").new_page()
        yield page, shop.link
        chromium.close()


def led_to(browser: Browser, port: int, certificate: Path) -> Browser:
    """Chromium for which the name of the README leads here, with this certificate and no other."""
    key = load_pem_x509_certificate(certificate.read_bytes()).public_key()
    spki = key.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
    digest = base64.b64encode(sha256(spki).digest()).decode()
    more = [
        f"--host-resolver-rules=MAP {NAME}:443 {HERE}:{port}",
        f"--ignore-certificate-errors-spki-list={digest}",
    ]
    found = next(filter(None, map(shutil.which, BROWSERS)))
    return browser.browser_type.launch(executable_path=found, args=[*FLAGS, *more])


def test_the_set_up_of_the_readme_lets_a_tablet_in_by_app_and_by_passkey(
    tablet: tuple[Page, str],
) -> None:
    page, link = tablet
    assert link.startswith(f"https://{NAME}/enter/")
    page.goto(link)
    page.fill("#name", "Ottoline")
    page.fill("#password", PASSWORD)
    page.fill("#again", PASSWORD)
    page.click("text=Come in")
    expect(page).to_have_url(f"https://{NAME}/")
    app = add_app(page)
    add_passkey(page)

    knock(page)
    page.fill("#code", app.at(datetime.now(UTC)))
    page.click("text=Come in")
    expect(page).to_have_url(f"https://{NAME}/")

    knock(page)
    page.click("text=Use a passkey")
    expect(page).to_have_url(f"https://{NAME}/")

    page.goto(f"https://{NAME}/bench/bag")
    page.click("#save")
    expect(page.locator("body")).to_contain_text("Q-00001")
    page.goto(f"https://{NAME}/items")
    expect(page.locator("main")).to_contain_text("Q-00001")


def add_app(page: Page) -> pyotp.TOTP:
    """Set an app up with the code of the half minute before, so that the present one is left."""
    page.goto(f"https://{NAME}/you/second")
    page.fill("#password-app", PASSWORD)
    page.click("text=Set it up")
    seed = re.sub(r"\s", "", page.locator(".entry-link code").inner_text())
    app = pyotp.TOTP(seed)
    page.fill("#code", app.at(datetime.now(UTC) - STEP))
    page.click("text=That is it")
    expect(page.locator(".bad-day-codes li")).to_have_count(8)
    return app


def add_passkey(page: Page) -> None:
    """Make one with a virtual authenticator, which stays with the page."""
    devtools = page.context.new_cdp_session(page)
    devtools.send("WebAuthn.enable")
    made = devtools.send("WebAuthn.addVirtualAuthenticator", {"options": KEY})
    page.goto(f"https://{NAME}/you/second")
    page.fill("#password-passkey", PASSWORD)
    page.click("text=Make one >> nth=0")
    page.fill("#name", "Tablet at the rail")
    page.click("text=Make it")
    expect(page.locator(".team-list")).to_contain_text("Tablet at the rail")
    authenticator = {"authenticatorId": made["authenticatorId"]}
    (credential,) = devtools.send("WebAuthn.getCredentials", authenticator)["credentials"]
    assert credential["rpId"] == NAME


def knock(page: Page) -> None:
    """Sign out and give the password again; the second step is then asked for."""
    page.goto(f"https://{NAME}/you")
    page.click("button:text-is('Sign out')")
    page.goto(f"https://{NAME}/sign-in")
    page.fill("#name", "Ottoline")
    page.fill("#password", PASSWORD)
    page.click("button[type=submit]")
    expect(page.locator("h1")).to_contain_text("One more step")
