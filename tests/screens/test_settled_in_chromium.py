"""Two months of an invented consignor in a real browser: sold, returned, closed, paid, copied, and
brought back elsewhere with the same balance and the same paper."""

from __future__ import annotations

import re
import shutil
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from ledger_shop import LedgerShop
from playwright.sync_api import Page, expect
from test_accessibility import violations
from waitress.server import create_server

from resale.cli import main as cli
from resale.web import create_app
from resale.web.core.shop import Shop

pytestmark = pytest.mark.screen
PAGES = (
    "/consignors",
    "/consignors/C-7",
    "/consignors/C-7/statements/1",
    "/payments",
    "/till?items=2+4",
    "/ledger?day=2026-10-20",
    "/ledger/item/Q-00003",
)


@dataclass
class Clock:
    """The shop's own day, moved on by the test."""

    day: date = date(2026, 10, 20)

    def now(self) -> datetime:
        return datetime.combine(self.day, time(12), UTC)


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    clock = Clock()
    monkeypatch.setattr(Shop, "now", lambda _: clock.now())
    return clock


@contextmanager
def opened(browser: Any, folder: Path) -> Iterator[Page]:
    """A browser at the shop in a folder, signed in as its owner."""
    app = create_app(folder)
    server = create_server(app, host="127.0.0.1", port=0)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    browser.app, browser.address = app, f"http://127.0.0.1:{server.effective_port}"
    context = browser.new_context(base_url=browser.address)
    context.set_default_timeout(15_000)
    yield context.new_page()
    context.close()
    browser.app = None
    server.close()
    app.extensions["resale"].records.dispose()


def written(page: Page, words: str) -> None:
    expect(page.locator(".just-saved").first).to_contain_text(words)


def paper(page: Page, path: str) -> bytes:
    return page.context.request.get(path).body()


def owed(page: Page) -> str:
    page.goto("/consignors/C-7")
    return page.locator(".day-sums").inner_text()


def october(page: Page) -> None:
    """Four things come in at a half, one at 60 %; two sell together by card, one by mistake."""
    page.goto("/consignors")
    page.get_by_label("Number", exact=True).fill("C-7")
    page.get_by_role("button", name="Keep").click()
    page.get_by_label("Brought these items").fill("1 2 3")
    page.get_by_role("button", name="Add").click()
    page.get_by_label("Brought these items").fill("4")
    page.get_by_label("At another share").fill("60")
    page.get_by_role("button", name="Add").click()
    page.goto("/till")
    page.get_by_label("Numbers on the tickets").fill("Q-00001 Q-00004")
    page.get_by_role("button", name="Look them up").click()
    page.get_by_label("Discount on Q-00004").fill("10")
    page.get_by_label("Why a discount").fill("A button is missing")
    page.get_by_label("Paid by").select_option("card")
    page.get_by_role("button", name="Sold").click()
    written(page, "2 sold together for €70.00")
    page.goto("/ledger/item/Q-00002")
    page.get_by_role("button", name="Sold at €40.00").click()
    written(page, "Written down: sold")
    page.get_by_role("button", name="Undo it").click()
    written(page, "Taken back")
    page.goto("/ledger/item/Q-00003")
    page.get_by_role("button", name="Sold at €40.00").click()
    page.goto("/ledger")
    expect(page.locator(".day-sums")).to_contain_text("€40.00")
    page.get_by_text("Close the day").click()
    page.get_by_label("Cash counted").fill("40")
    page.get_by_role("button", name="Close it").click()
    written(page, "€40.00 counted")


def november(page: Page) -> None:
    """October is closed and paid; then one of its things comes back."""
    page.goto("/payments")
    page.get_by_label("Everybody’s statement, up to").fill("2026-10-31")
    page.get_by_role("button", name="Close them").click()
    written(page, "1 statement is closed")
    page.get_by_label("C-7 is paid").check()
    page.get_by_role("button", name="They are paid").click()
    written(page, "1 payment is written down")
    page.goto("/ledger/item/Q-00003")
    page.get_by_role("button", name="Returned").click()
    written(page, "Written down: returned")


@pytest.mark.long
def test_two_months_are_settled_copied_and_brought_back_with_the_same_balance(
    browser: Any, clock: Clock, tmp_path: Path, empty_records: Path
) -> None:
    folder = tmp_path / "shop"
    folder.mkdir()
    shutil.copy(empty_records, folder)
    made = LedgerShop(folder)
    for _ in range(4):
        made.happens(made.item("05-01"), "put_out", "06-01", 4000)
    made.records.dispose()
    with opened(browser, folder) as page:
        october(page)
        # A half of 40.00 twice, and 60 % of 30.00.
        assert "€58.00" in owed(page)
    # Whoever signed in in October has to sign in again.
    clock.day = date(2026, 11, 5)
    with opened(browser, folder) as page:
        november(page)
        said = owed(page)
        assert re.search(r"They owe the shop\s+€20.00", said)
        closed = paper(page, "/consignors/C-7/statements/1.pdf")
        page.goto("/payments")
        expect(page.get_by_role("row", name="Together").last).to_contain_text("0.00")
    kept = CliRunner().invoke(
        cli.commands, ["keep", "--folder", str(folder), "--to", str(tmp_path)]
    )
    (copy,) = tmp_path.glob("*.zip")
    other = tmp_path / "elsewhere"
    back = CliRunner().invoke(cli.commands, ["bring-back", str(copy), "--folder", str(other)])
    assert (kept.exit_code, back.exit_code) == (0, 0), back.output
    with opened(browser, other) as page:
        assert owed(page) == said
        assert paper(page, "/consignors/C-7/statements/1.pdf") == closed
        page.goto("/consignors/C-7/statements/1")
        expect(page.get_by_text("Owed to them")).to_be_visible()
        for place, path in enumerate(PAGES):
            page.emulate_media(color_scheme="dark" if place % 2 else "light")
            page.goto(path)
            for width in (1280, 390):
                page.set_viewport_size({"width": width, "height": 844})
                assert page.evaluate("document.documentElement.scrollWidth") <= width, path
            assert violations(page) == [], path
