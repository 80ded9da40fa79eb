"""A mouldy jacket goes the whole way, each role at its own window; the pages of what is held."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect
from screen_looks import look_over
from test_accessibility import violations
from windows import in_windows

pytestmark = pytest.mark.screen


def save_mouldy(page: Page, address: str) -> str:
    page.goto(f"{address}/bench/jacket")
    page.locator('input[name="s-label_standing"][value="premium"]').check(force=True)
    page.locator('input[name="s-mould"][value="growth"]').check(force=True)
    look_over(page, "jacket", mould="growth", label_standing="premium")
    page.get_by_role("button", name="Save and open").click()
    page.wait_for_url("**/items/*")
    return page.url.split("/")[-1].split("?")[0]


@pytest.fixture(scope="module")
def held(address: str, browser: Any) -> str:
    """Number of a jacket with mould and, by hand, moth: one with a clock."""
    page = browser.new_page()
    number = save_mouldy(page, address)
    page.goto(f"{address}/held/{number}")
    page.get_by_label("Why it must wait").select_option("moth")
    page.get_by_role("button", name="Hold this").click()
    expect(page.locator(".just-saved")).to_contain_text("Held.")
    page.close()
    return number


@pytest.mark.parametrize(
    ("role", "scripts"), [("lead", True), pytest.param("owner", False, marks=pytest.mark.long)]
)
def test_a_mouldy_jacket_waits_for_a_lead_and_then_gets_its_ticket(
    open_page: Any, address: str, role: str, scripts: bool
) -> None:
    sorter = open_page("/bench/jacket", role="sorter")
    number = save_mouldy(sorter, address)
    box = sorter.locator(".held-box")
    expect(box).to_contain_text("Held: Mould, or a cellar smell")
    expect(box).to_contain_text("bag it without shaking it")
    expect(sorter.locator(".ticket .price")).to_have_text("Hold")
    sorter.goto(f"{address}/tickets?pick={number}")
    expect(sorter.locator(".caution")).to_contain_text(f"{number} is held and gets no ticket")
    sorter.goto(f"{address}/tickets/print?pick={number}")
    expect(sorter.locator("main")).to_contain_text("it is held, so it gets no ticket")
    expect(sorter.locator("main")).to_contain_text("a lead clears it there")
    sorter.goto(f"{address}/ledger/item/{number}")
    expect(sorter.get_by_role("button", name="Sold")).to_have_count(0)
    sorter.goto(f"{address}/held/{number}")
    expect(sorter.get_by_role("button", name="Clear")).to_have_count(0)

    lead = open_page("/", role=role, java_script_enabled=scripts)
    lead.get_by_role("link", name="waiting for a lead").click()
    lead.get_by_role("link", name=number, exact=True).click()
    form = lead.locator(".clear-form")
    for tick in form.locator("input[name=confirmed]").all():
        tick.check()
    form.get_by_label("Reason").fill("Cleaned by a trade, dry since Monday")
    form.get_by_role("button", name="Clear").click()
    expect(lead.locator(".just-saved")).to_contain_text("Nothing holds it any more")
    lead.get_by_role("link", name="its ticket").click()
    expect(lead.get_by_role("button", name="Get 1 ticket")).to_be_visible()
    sorter.goto(f"{address}/items/{number}")
    expect(sorter.locator(".held-box")).to_have_count(0)
    expect(sorter.locator(".was-held")).to_contain_text("a lead cleared it")
    expect(sorter.locator(".ticket .price")).not_to_have_text("Hold")


@pytest.mark.long
def test_what_is_picked_on_the_bench_holds_at_once_and_survives_a_closed_tab(
    open_page: Any, address: str
) -> None:
    page = open_page("/bench/shoes", role="sorter")
    page.get_by_text("Hold this", exact=True).click()
    page.get_by_label("Why it must wait").select_option("sharps")
    page.get_by_label("What you saw").fill("a needle in the toe")
    expect(page.locator("#result .held-box")).to_contain_text("Sharp thing in it")
    expect(page.locator("#strip")).to_contain_text("Hold")
    page.reload()
    expect(page.locator("#hold")).to_have_value("sharps")
    expect(page.locator("#result .held-box")).to_contain_text("Sharp thing in it")
    page.get_by_role("button", name="Save and next").click()
    expect(page.locator(".held-box").first).to_contain_text("Take your hands away slowly")
    expect(page.locator("#hold")).to_have_value("")
    page.get_by_role("link", name="Slip for the bag").first.click()
    expect(page.locator(".slip")).to_contain_text("HELD")
    page.emulate_media(media="print")
    expect(page.locator(".slip-ways")).to_be_hidden()
    expect(page.locator(".slip")).to_contain_text("Never pick it up by hand")


@pytest.mark.long
@pytest.mark.parametrize(
    ("path", "width", "scheme"),
    in_windows("/held", "/held/{held}", "/held/{held}/slip", "/items/{held}"),
)
def test_no_page_of_what_is_held_breaks_a_rule_of_access_or_its_window(
    open_page: Any, held: str, path: str, scheme: str, width: int
) -> None:
    page = open_page(path.format(held=held), role="lead", width=width, color_scheme=scheme)
    page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert violations(page) == []
