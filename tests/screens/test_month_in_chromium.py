"""The invented back room over a month in a real browser: put out, sold, marked down, reckoned."""

from __future__ import annotations

import re
import threading
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import Page, expect
from signed_in import Lay
from waitress.server import create_server

from resale.web import create_app
from resale.web.core.shop import Shop

pytestmark = pytest.mark.screen
WEEKS, SOLD_A_WEEK, SEED = 4, 2, 7


@dataclass
class Clock:
    """The shop's own day, moved on by the test."""

    day: date

    def now(self) -> datetime:
        return datetime.combine(self.day, time(12), UTC)


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    clock = Clock(datetime.now(UTC).date())
    monkeypatch.setattr(Shop, "now", clock.now)
    return clock


@pytest.fixture
def page(browser: Any, clock: Clock, tmp_path: Any, copy_of_demo: Lay) -> Iterator[Page]:
    """A browser at the invented shop, served as a desk would have it."""
    server = create_server(create_app(copy_of_demo(tmp_path), demo=True), host="127.0.0.1", port=0)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    context = browser.new_context(base_url=f"http://127.0.0.1:{server.effective_port}")
    context.set_default_timeout(15_000)
    yield context.new_page()
    context.close()
    server.close()


def cents(text: str) -> int:
    return round(100 * float(re.sub(r"[^\d.]", "", text)))


def sell(page: Page, number: str) -> int:
    """Two taps: the number, then sold at the price on its ticket."""
    page.goto("/ledger")
    page.get_by_label("Number on the ticket").fill(number)
    page.get_by_role("button", name="Find").click()
    button = page.get_by_role("button", name=re.compile("^Sold at "))
    price = cents(button.inner_text())
    button.click()
    expect(page.locator(".just-saved")).to_contain_text("Written down")
    return price


@pytest.mark.long
def test_a_month_of_the_back_room_agrees_with_the_ledger_to_the_cent(
    page: Page, clock: Clock
) -> None:
    page.goto("/rail/choice?cm=120")
    hung = [
        box.get_attribute("value") or "" for box in page.locator("input[name=pick]:checked").all()
    ]
    page.get_by_role("button", name="Put them out").click()
    expect(page.locator(".just-saved")).to_contain_text(f"{len(hung)} put out")
    page.get_by_role("link", name="Print today’s tickets").click()
    expect(page.get_by_role("button", name=f"Get {len(hung)} tickets")).to_be_visible()
    rng = np.random.default_rng(SEED)
    days, taken, marked = [clock.day], [0], 0
    for _ in range(WEEKS):
        clock.day += timedelta(days=7)
        days.append(clock.day)
        chosen = [str(n) for n in rng.choice(hung, SOLD_A_WEEK, replace=False)]
        taken.append(sum(sell(page, number) for number in chosen))
        hung = [number for number in hung if number not in chosen]
        page.goto("/rail")
        due = page.get_by_role("button", name="Mark them all")
        if due.count():
            marked += page.locator(".due-form").first.locator("input[name=pick]").count()
            due.click()
            expect(page.locator(".just-saved")).to_be_visible()
    assert marked > 0
    for day, sum_of_day in zip(days, taken, strict=True):
        page.goto(f"/ledger?day={day:%Y-%m-%d}")
        assert cents(page.locator(".till").inner_text()) == sum_of_day
    page.goto("/rail?state=on_rail")
    assert page.locator("tbody tr[id]").count() == len(hung)
