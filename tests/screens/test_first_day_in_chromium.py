"""An owner's first day and first month in a real browser, from an empty folder to a copy that is
brought back elsewhere with the same balance."""

from __future__ import annotations

import re
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from first_day import PEOPLE, STOCK, WORDS, past
from playwright.sync_api import Page, expect
from screen_looks import look_over
from signed_in import session_cookie
from waitress.server import create_server

from resale.cli import main as cli
from resale.services.actor import at_the_machine
from resale.services.people.entry_link import make_entry_link
from resale.web import create_app
from resale.web.core.shop import Shop

pytestmark = pytest.mark.screen
SECRET = "seven invented ducks on a pond"  # noqa: S105 - of a shop that is gone in a moment


@dataclass
class Clock:
    """The shop's own day, moved on by the test."""

    day: date = date(2026, 3, 2)

    def now(self) -> datetime:
        return datetime.combine(self.day, time(12), UTC)


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    # Nobody has said that the book's opening prices hold here.
    monkeypatch.delenv("RESALE_OPENING_PRICES_HOLD", raising=False)
    clock = Clock()
    monkeypatch.setattr(Shop, "now", lambda _: clock.now())
    return clock


@contextmanager
def opened(browser: Any, folder: Path, role: str | None = None) -> Iterator[Page]:
    """A browser at the shop in a folder, of a stranger or of somebody of a role."""
    app = create_app(folder)
    server = create_server(app, host="127.0.0.1", port=0)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    browser.app, browser.address = app, f"http://127.0.0.1:{server.effective_port}"
    context = browser.new_context(
        role=role, base_url=browser.address, viewport={"width": 1280, "height": 900}
    )
    context.set_default_timeout(20_000)
    yield context.new_page()
    context.close()
    browser.app = None
    server.close()
    app.extensions["resale"].records.dispose()


def come_back_on(page: Page, browser: Any, clock: Clock, day: date) -> None:
    """Another day; whoever signed in before has to sign in again."""
    clock.day = day
    cookie = {"name": "resale", "value": session_cookie(browser.app, "owner")}
    page.context.add_cookies([{**cookie, "url": browser.address}])  # type: ignore[list-item]


def follow(page: Page, step: str) -> None:
    """Go where the first days lead: the next step has this name."""
    page.goto("/")
    link = page.locator(".first-days > p a")
    expect(link).to_have_text(step)
    link.click()
    expect(page.locator("h1")).to_be_visible()


def pick_file(page: Page, label: str, name: str, content: bytes) -> None:
    file = {"name": name, "mimeType": "text/csv", "buffer": content}
    page.get_by_label(label).set_input_files([file])  # type: ignore[list-item]


def saved(page: Page, words: str) -> None:
    expect(page.locator(".just-saved").first).to_contain_text(words)


def become_owner(page: Page, link: str) -> None:
    page.goto(f"/enter/{link}")
    page.get_by_label("Your name").fill("Ottoline")
    page.get_by_label("Password", exact=True).fill(SECRET)
    page.get_by_label("The same again").fill(SECRET)
    page.get_by_role("button", name="Come in").click()
    expect(page.get_by_role("heading", name="What is on the bench?")).to_be_visible()


def bring_the_past(page: Page) -> None:
    page.locator(".first-days summary").click()
    page.locator(".first-days").get_by_role("link", name="Bring past sales in").click()
    export = past()
    pick_file(page, "CSV or Excel file", export.name, export.content)
    page.get_by_role("button", name="Look at it").click()
    for word, kind in WORDS.items():
        page.get_by_label(f"{word} means").select_option(kind)
    page.get_by_role("button", name="Read it so").click()
    page.get_by_role("button", name=f"Load {len(export.pieces)} past sales").click()
    page.get_by_role("button", name="Learn from them now").click()
    expect(page.get_by_role("cell", name="In use")).to_be_visible(timeout=60_000)


def bring_people_and_stock(page: Page) -> None:
    follow(page, "Bring in who brings things")
    pick_file(page, "CSV or Excel file of consignors", "people.csv", PEOPLE.encode())
    page.get_by_role("button", name="Bring them in").click()
    saved(page, "2 consignors are new")
    follow(page, "Bring your stock, or take a first thing in")
    pick_file(page, "CSV or Excel file of things", "rail.csv", STOCK.encode())
    page.get_by_role("button", name="Look at it").click()
    expect(page.get_by_label("preis is")).to_have_value("ticket")
    page.get_by_role("button", name="Bring 6 things in").click()
    saved(page, "6 things are in the records now")
    # The shop's own tickets stand: nothing is due on the day on which they came in.
    page.goto("/rail?state=on_rail")
    expect(page.locator("tbody tr[id]")).to_have_count(6)
    expect(page.get_by_role("button", name="Mark them all")).to_have_count(0)


def say_what_is_ordinary(page: Page) -> None:
    follow(page, "Say what ordinary things bring")
    page.locator("#from-dress").fill("12")
    page.locator("#to-dress").fill("40")
    page.get_by_role("button", name="Begin with these").click()
    saved(page, "Taken for")
    page.get_by_role("button", name="Learn prices again").click()
    expect(page.get_by_role("cell", name="In use")).to_be_visible(timeout=60_000)


def price_a_rail(page: Page) -> list[str]:
    """Two jackets are looked over on the Bench, and go out with the tickets that are proposed."""
    numbers = []
    for _ in range(2):
        page.goto("/bench/jacket")
        look_over(page, "jacket")
        page.get_by_role("button", name="Save and open").click()
        page.wait_for_url("**/items/*")
        numbers.append(page.url.split("/")[-1].split("?")[0])
    page.goto("/consignors/C-1")
    page.get_by_label("Brought these items").fill(numbers[0])
    page.get_by_role("button", name="Add").click()
    expect(page.get_by_role("link", name=numbers[0])).to_be_visible()
    page.goto("/rail/choice?cm=200")
    page.get_by_role("button", name="Put them out").click()
    saved(page, "2 put out")
    return numbers


def sell(page: Page, number: str) -> int:
    page.goto(f"/ledger/item/{number}")
    button = page.get_by_role("button", name=re.compile("^Sold at "))
    price = cents(button.inner_text())
    button.click()
    saved(page, "Written down: sold")
    return price


def take_back(page: Page, number: str) -> None:
    page.goto(f"/ledger/item/{number}")
    page.get_by_role("button", name="Returned").click()
    saved(page, "Written down: returned")


def cents(text: str) -> int:
    return round(100 * float(re.sub(r"[^\d.]", "", text)))


def sell_a_month(page: Page, browser: Any, clock: Clock, own: str) -> dict[str, int]:
    """Sold on its days; one comes back and goes again; two are bought together; the day is shut."""
    sold = {own: sell(page, own)}
    come_back_on(page, browser, clock, date(2026, 3, 9))
    sold |= {number: sell(page, number) for number in ("A-1", "A-3")}
    come_back_on(page, browser, clock, date(2026, 3, 12))
    take_back(page, "A-3")
    page.goto("/ledger/item/A-3")
    sold["A-3"] = sell(page, "A-3")
    page.goto("/till")
    page.get_by_label("Numbers on the tickets").fill("A-4 A-6")
    page.get_by_role("button", name="Look them up").click()
    page.get_by_label("Paid by").select_option("card")
    page.get_by_role("button", name="Sold").click()
    saved(page, "2 sold together for €43.00")
    page.goto("/ledger")
    page.get_by_text("Close the day").click()
    page.get_by_label("Cash counted").fill("0")
    page.get_by_role("button", name="Close it").click()
    expect(page.get_by_role("alert")).to_contain_text("€0.00 is counted where €73.00")
    page.get_by_label("Note").fill("Taken to the bank each evening")
    page.get_by_role("button", name="Close it").click()
    saved(page, "Closed by Ottoline")
    return sold


def settle(page: Page) -> None:
    follow(page, "Close the month and pay")
    page.get_by_label("Everybody’s statement, up to").fill("2026-03-31")
    page.get_by_role("button", name="Close them").click()
    saved(page, "2 statements are closed")
    for number in ("C-1", "C-2"):
        page.get_by_label(f"{number} is paid").check()
    page.get_by_role("button", name="They are paid").click()
    saved(page, "2 payments are written down")


def balances(page: Page) -> list[str]:
    """What the accounts say, and that all together they are nought."""
    page.goto("/payments")
    said = page.locator("section[aria-labelledby=all] tr").all_inner_texts()
    expect(page.get_by_role("row", name="Together").last).to_contain_text("0.00")
    return said


def paper(page: Page) -> bytes:
    return page.context.request.get("/consignors/C-1/statements/1.pdf").body()


@pytest.mark.long
def test_from_an_empty_folder_to_the_same_balance_elsewhere(
    browser: Any, clock: Clock, tmp_path: Path
) -> None:
    folder = tmp_path / "shop"
    folder.mkdir()
    with opened(browser, folder) as page:
        shop = browser.app.extensions["resale"]
        become_owner(page, make_entry_link(shop.records, at_the_machine(), None, clock.now()))
        bring_the_past(page)
        bring_people_and_stock(page)
        say_what_is_ordinary(page)
        own, left = price_a_rail(page)
        sold = sell_a_month(page, browser, clock, own)
        come_back_on(page, browser, clock, date(2026, 4, 2))
        page.goto("/consignors/C-1")
        # A half of each, the return taken off; counted here from the tickets alone.
        due = (sold[own] + 1) // 2 + sold["A-1"] // 2
        assert cents(page.locator(".day-sums dd").first.inner_text()) == due
        settle(page)
        take_back(page, "A-1")
        said, closed = balances(page), paper(page)
        follow(page, "Keep a copy of the shop")
        page.get_by_role("button", name="Keep a copy now").click()
        expect(page.locator("table")).to_contain_text("by hand")
        page.goto("/")
        expect(page.locator(".first-days")).to_have_count(0)
    copy = max((folder / "copies").glob("*.zip"))
    other = tmp_path / "elsewhere"
    back = CliRunner().invoke(cli.commands, ["bring-back", str(copy), "--folder", str(other)])
    assert back.exit_code == 0, back.output
    with opened(browser, other, "owner") as page:
        assert balances(page) == said and paper(page) == closed
        page.goto(f"/ledger/item/{left}")
        expect(page.get_by_role("button", name=re.compile("^Sold at "))).to_be_visible()
