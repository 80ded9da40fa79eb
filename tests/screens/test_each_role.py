"""A shop worked by each role from its first owner on, and carried to another machine."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from playwright.sync_api import Page, expect
from screen_looks import look_over, pick_kind
from test_accessibility import violations
from waitress.server import create_server
from windows import in_windows

from resale.cli import main as cli
from resale.storage.people.invitations import make_entry_link
from resale.web import create_app

pytestmark = pytest.mark.screen
WORDS = {
    "Ottoline": "linen buckle orchard",
    "Leopold": "velvet hinge sparrow",
    "Sunniva": "copper lantern meadow",
}
Serve = Callable[[Path], tuple[Any, str]]


@pytest.fixture
def serve() -> Iterator[Serve]:
    """Serve a data folder as the command does; give the application and its address."""
    servers: list[Any] = []
    closing = threading.Event()

    def run(server: Any) -> None:
        try:
            server.run()
        except Exception:
            # A socket that is closed under its loop now and then breaks the loop; only then.
            if not closing.is_set():
                raise

    def one(folder: Path) -> tuple[Any, str]:
        app = create_app(folder)
        server = create_server(app, host="127.0.0.1", port=0, threads=4)
        threading.Thread(target=run, args=(server,), daemon=True).start()
        servers.append(server)
        return app, f"http://127.0.0.1:{server.effective_port}"

    yield one
    closing.set()
    for server in servers:
        server.close()


def come_in(browser: Any, link: str, name: str) -> Page:
    """Open an entry link in a window of its own, and set a password."""
    page: Page = browser.new_context(role=None).new_page()
    page.goto(link)
    assert violations(page) == []
    if page.get_by_label("Your name").count():
        page.get_by_label("Your name").fill(name)
    page.get_by_label("Password", exact=True).fill(WORDS[name])
    page.get_by_label("The same again").fill(WORDS[name])
    page.get_by_role("button", name="Come in").click()
    expect(page.get_by_role("link", name=f"Signed in as {name}")).to_be_visible()
    return page


def sign_in(page: Page, name: str) -> None:
    page.get_by_label("Your name").fill(name)
    page.get_by_label("Password").fill(WORDS[name])
    page.get_by_role("button", name="Sign in").click()


def let_in(owner: Page, name: str, role: str) -> str:
    owner.get_by_role("link", name="Signed in as").click()
    owner.get_by_role("link", name="Team").click()
    owner.get_by_label("A new name").fill(name)
    owner.locator("#role").select_option(role)
    owner.get_by_role("button", name="Add and make a link").click()
    expect(owner.locator(".entry-link code")).to_be_visible()
    assert violations(owner) == []
    return owner.locator(".entry-link code").inner_text()


def value_a_shirt(page: Page) -> str:
    page.get_by_role("link", name="Bench", exact=True).click()
    pick_kind(page, "Shirt")
    page.locator("#size").fill("40")
    look_over(page, "shirt")
    page.get_by_role("button", name="Save and next").click()
    saved = page.locator("#just-saved")
    expect(saved).to_contain_text("Saved as Q-")
    return re.findall(r"Q-\d+", saved.inner_text())[0]


def sell(page: Page, number: str) -> None:
    page.get_by_role("link", name="Ledger", exact=True).click()
    page.get_by_label("Number on the ticket").fill(number)
    page.get_by_role("button", name="Find").click()
    page.get_by_role("button", name=re.compile("^Sold at ")).click()
    expect(page.locator(".just-saved")).to_contain_text("Written down")


def till(page: Page) -> str:
    page.get_by_role("link", name="Ledger", exact=True).click()
    page.wait_for_url("**/ledger")
    return page.locator(".day-sums").inner_text()


@pytest.mark.long
def test_a_shop_is_worked_by_each_role_and_opens_again_on_another_machine(
    browser: Any, serve: Serve, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app, address = serve(tmp_path / "shop")
    shop = app.extensions["resale"]
    first = make_entry_link(shop.records, None, shop.now())
    owner = come_in(browser, f"{address}/enter/{first}", "Ottoline")
    sorter = come_in(browser, let_in(owner, "Sunniva", "sorter"), "Sunniva")
    lead = come_in(browser, let_in(owner, "Leopold", "lead"), "Leopold")

    number, other = _sorter_works(sorter, address)
    _lead_works(lead, address, other)
    carried = tmp_path / "carried.zip"
    _owner_looks(owner, sorter, address, other)
    before = _carry_away(owner, address, carried)

    # Another machine: an empty folder, the copy brought back, the same people and totals.
    monkeypatch.setenv("RESALE_DATA_FOLDER", str(tmp_path / "elsewhere"))
    ran = CliRunner().invoke(cli.commands, ["bring-back", str(carried)])
    assert ran.exit_code == 0, ran.output
    _, elsewhere = serve(tmp_path / "elsewhere")
    page = browser.new_context(role=None).new_page()
    page.goto(elsewhere)
    sign_in(page, "Ottoline")
    assert till(page) == before
    page.get_by_role("link", name="Items", exact=True).click()
    for one in (number, other):
        expect(page.get_by_role("link", name=one)).to_be_visible()


def _sorter_works(sorter: Page, address: str) -> tuple[str, str]:
    # The sorter values and sells; the rail's prices and the team are not hers.
    number, other = value_a_shirt(sorter), value_a_shirt(sorter)
    sell(sorter, number)
    sorter.goto(f"{address}/team")
    expect(sorter.locator("main")).to_contain_text("This is for the owner")
    assert violations(sorter) == []

    return number, other


def _lead_works(lead: Page, address: str, other: str) -> None:
    # The lead puts out and corrects; letting people in is not his.
    lead.get_by_role("link", name="Rail", exact=True).click()
    lead.locator(f"tr[id='{other}'] input[name=pick]").check()
    lead.get_by_role("button", name=re.compile("Put .*out")).first.click()
    expect(lead.locator("main")).to_contain_text("put out")
    lead.goto(f"{address}/team")
    expect(lead.locator("main")).to_contain_text("This is for the owner")


def _owner_looks(owner: Page, sorter: Page, address: str, other: str) -> None:
    # The owner sees who did what, signs the sorter out, and keeps a copy.
    owner.goto(f"{address}/deeds")
    audit_entries = owner.get_by_role("region", name="Deeds")
    expect(
        audit_entries.get_by_role("row", name=re.compile(f"Sunniva.*saved an item.*{other}"))
    ).to_have_count(1)
    expect(
        audit_entries.get_by_role("row", name=re.compile("Leopold.*put an item out"))
    ).to_have_count(1)
    expect(audit_entries.get_by_role("row", name=re.compile("Sunniva.*was refused"))).to_have_count(
        1
    )
    assert violations(owner) == []
    owner.goto(f"{address}/team")
    owner.get_by_role("button", name="Sign out Sunniva everywhere").click()
    sorter.goto(f"{address}/items")
    expect(sorter.get_by_role("heading", name="Who is at the desk?")).to_be_visible()
    assert violations(sorter) == []
    sign_in(sorter, "Sunniva")
    sorter.wait_for_url("**/items")


def _carry_away(owner: Page, address: str, carried: Path) -> str:
    owner.goto(f"{address}/copies")
    owner.get_by_role("button", name=re.compile("copy now")).click()
    with owner.expect_download(timeout=60_000) as download:
        owner.get_by_role("link", name=re.compile(r"\.zip|Take it")).first.click()
    download.value.save_as(carried)
    return till(owner)


@pytest.mark.long
@pytest.mark.parametrize(
    ("path", "width", "scheme"),
    in_windows("/you", "/team", "/deeds", "/copies", "/settings", "/settings/prices", "/sign-in"),
)
def test_the_pages_of_the_doors_break_no_rule_of_access(
    open_page: Any, path: str, width: int, scheme: str
) -> None:
    role = None if path == "/sign-in" else "owner"
    page = open_page(path, width=width, color_scheme=scheme, reduced_motion="reduce", role=role)
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
