"""The third desk beyond the cards, in the invented shop: axe, narrow and wide, keys alone."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from conftest import Desk, serving
from playwright.sync_api import Page, expect
from signed_in import Lay
from test_accessibility import violations

from resale.web import create_app

pytestmark = pytest.mark.screen

ITEM = "/drill/whole/Q-03005"


@pytest.fixture(scope="module")
def address(
    tmp_path_factory: pytest.TempPathFactory, browser: Desk, copy_of_demo: Lay
) -> Iterator[str]:
    """Address of the invented shop, with the day's sample drawn."""
    app = create_app(copy_of_demo(tmp_path_factory.mktemp("demo")), demo=True)
    with serving(app, browser) as found:
        page = browser.new_page(role="lead")
        page.goto(f"{found}/drill/second-looks")
        page.get_by_role("button", name="Draw the 32 items").click()
        page.wait_for_selector(".sampled")
        page.close()
        yield found


def looked_at(page: Page, width: int) -> list[str]:
    """What breaks a rule of access, or leaves the screen at its side."""
    page.wait_for_load_state()
    page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
    found = violations(page)
    wide = page.evaluate("document.documentElement.scrollWidth")
    return found + ([f"{page.url} is {wide} wide on {width}"] if wide > width else [])


def unfold(page: Page, sign: str) -> None:
    """Open by the keyboard the rest of a zone, where the prices put a sign behind others."""
    rest = page.locator(f'details.more:not([open]):has([name="s-{sign}"]) > summary')
    if rest.count():
        rest.first.focus()
        page.keyboard.press("Enter")


def compare(page: Page) -> None:
    """Read an item otherwise than the lead did and compare."""
    for sign in ("odour", "pilling", "stain"):
        unfold(page, sign)
        page.locator(f'input[name="s-{sign}"]').nth(2).check(force=True)
    page.get_by_role("radio", name="Sound").check(force=True)
    page.get_by_label("Ticket price").fill("14.50")
    page.get_by_role("button", name="Compare with the first reading").click()
    page.wait_for_url("**/read/**")


@pytest.mark.parametrize(
    ("width", "scheme"),
    [
        pytest.param(390, "light", marks=pytest.mark.long),
        pytest.param(1280, "dark", marks=pytest.mark.long),
        pytest.param(390, "dark", marks=pytest.mark.long),
        pytest.param(1280, "light", marks=pytest.mark.long),
    ],
)
def test_the_pages_of_the_training_desk_break_no_rule_of_access(
    open_page: Any, width: int, scheme: Any
) -> None:
    page = open_page(
        "/drill", role="lead", width=width, color_scheme=scheme, reduced_motion="reduce"
    )
    found = looked_at(page, width)
    page.get_by_role("link", name="How our people are coming on").click()
    found += looked_at(page, width)
    page.get_by_role("link", name="Brenn").click()
    page.wait_for_url("**/people/*")
    found += looked_at(page, width)
    home = page.url.split("/drill")[0]
    for path in ("/drill/agreement", "/drill/second-looks?day=2020-01-01", "/drill/second-looks"):
        page.goto(home + path)
        found += looked_at(page, width)
    page.locator(".sampled a").first.click()
    page.wait_for_selector(".reading-form")
    found += looked_at(page, width)
    page.goto(home + ITEM)
    found += looked_at(page, width)
    compare(page)
    found += looked_at(page, width)
    assert found == []


def test_a_whole_item_is_read_and_compared_by_keys_alone(open_page: Any) -> None:
    page = open_page(ITEM, role="sorter")
    unfold(page, "pilling")
    page.locator('input[name="s-pilling"]').first.focus()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    assert page.evaluate("document.activeElement.checked && document.activeElement.name") == (
        "s-pilling"
    )
    page.locator('input[name="tier"]').first.focus()
    page.keyboard.press("Space")
    page.keyboard.press("Tab")
    expect(page.get_by_label("Ticket price")).to_be_focused()
    page.keyboard.type("12,50")
    page.keyboard.press("Enter")
    page.wait_for_url("**/read/**")
    expect(page.get_by_role("heading", level=1)).to_have_text("Q-03005: you and invented")
    expect(page.locator(".differences").first).to_contain_text("Pilling")


@pytest.mark.long
def test_a_second_look_is_taken_and_kept_by_keys_alone(open_page: Any) -> None:
    page = open_page("/drill/second-looks", role="sorter")
    link = page.locator(".sampled a").first
    number = link.locator(".number").inner_text()
    link.focus()
    page.keyboard.press("Enter")
    page.wait_for_selector(".reading-form")
    assert page.locator("input:checked:not([value=''])").count() == 0
    page.locator('.reading-form input[name^="s-"]:visible').first.focus()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    page.wait_for_selector(".sampled")
    expect(page.locator(f"#{number}")).to_contain_text("read again by Brenn")


@pytest.mark.long
def test_without_javascript_the_pages_say_the_same(open_page: Any) -> None:
    page = open_page("/drill/people", role="lead", java_script_enabled=False)
    expect(page.locator(".coming-on")).to_contain_text("Pilling")
    page.goto(page.url.split("/drill")[0] + ITEM)
    compare(page)
    expect(page.locator(".differences .total").first).to_contain_text("All together")
