"""The rack priced, chosen and put out in a browser: by hand, by keys, without JavaScript."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect
from screen_looks import look_over
from test_accessibility import violations
from windows import in_windows

pytestmark = pytest.mark.screen


@pytest.fixture(scope="module")
def items(address: str, browser: Any) -> list[str]:
    """Numbers of five items saved on the bench, the last of them held."""
    page = browser.new_page()
    numbers = []
    for place in range(5):
        page.goto(f"{address}/bench/jacket")
        page.locator('input[name="s-label_standing"][value="premium"]').check(force=True)
        seen = {"label_standing": "premium"}
        if place == 4:
            page.locator('input[name="s-mould"][value="growth"]').check(force=True)
            seen["mould"] = "growth"
        page.locator("#size").fill(str(46 + 2 * place))
        look_over(page, "jacket", **seen)
        page.get_by_role("button", name="Save and open").click()
        page.wait_for_url("**/items/*")
        numbers.append(page.url.split("/")[-1].split("?")[0])
    page.close()
    return numbers


def row(page: Page, number: str) -> Any:
    return page.locator(f"tr[id='{number}']")


def test_a_price_is_set_and_items_are_picked_by_keys_alone(
    open_page: Any, items: list[str]
) -> None:
    page = open_page("/rail")
    expect(page.locator("html.js")).to_be_attached()
    row(page, items[0]).locator("input[name=pick]").focus()
    page.keyboard.press("Space")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Space")
    expect(page.locator("#picked-count")).to_have_text("2 picked")
    page.keyboard.press("Enter")
    page.keyboard.type("33.00")
    # Whoever forgets why is told, with the price still there.
    page.keyboard.press("Enter")
    expect(page.locator(".faults")).to_contain_text("the price has no reason")
    expect(row(page, items[1]).locator(".price-field")).to_have_value("33.00")
    row(page, items[1]).locator(".price-field").focus()
    page.keyboard.press("Tab")
    page.keyboard.type("as the last one")
    page.keyboard.press("Enter")
    expect(row(page, items[1]).locator(".price-field")).to_have_value("33.00")
    expect(row(page, items[1]).locator(".price-field")).not_to_have_class("proposed")
    assert page.url.endswith(f"#{items[1]}")


def test_a_choice_is_put_out_and_its_tickets_are_offered(open_page: Any, items: list[str]) -> None:
    page = open_page("/rail")
    page.get_by_role("link", name="Choose for me").click()
    page.get_by_label("Rail, cm").fill("15")
    page.get_by_label("One kind, at most %").fill("100")
    page.get_by_label("One size, at most %").fill("100")
    page.get_by_role("button", name="Choose again").click()
    expect(page.locator(".choice-sum")).to_contain_text("3 of 4 waiting go out")
    expect(page.locator(".hanger.new")).to_have_count(3)
    expect(page.locator(".left-out")).to_contain_text("rail full")
    page.get_by_role("button", name="Put them out").click()
    expect(page.locator(".just-saved")).to_contain_text("3 put out")
    page.get_by_role("link", name="Print today’s tickets").click()
    expect(page.get_by_role("button", name="Get 3 tickets")).to_be_visible()
    with page.expect_response("**/tickets/print**") as got:
        page.evaluate("fetch('/tickets/print?today=1')")
    assert got.value.headers["content-type"] == "application/pdf"


def test_what_is_held_shows_why_and_cannot_be_picked(open_page: Any, items: list[str]) -> None:
    page = open_page("/rail?state=held")
    expect(row(page, items[4])).to_contain_text("Held")
    expect(row(page, items[4])).to_contain_text("ould")
    expect(row(page, items[4]).locator("input")).to_have_count(0)


def test_without_javascript_a_price_is_set_and_an_item_put_out(
    open_page: Any, items: list[str]
) -> None:
    page = open_page("/rail", java_script_enabled=False)
    waiting = page.locator("tbody tr").first
    number = waiting.get_attribute("id")
    waiting.locator(".price-field").fill("27,50")
    waiting.locator(".price-reason").fill("a fair day")
    waiting.get_by_role("button", name="Set").click()
    again = row(page, number or "")
    expect(again.locator(".price-field")).to_have_value("27.50")
    again.locator("input[name=pick]").check()
    page.get_by_role("button", name="Put out").click()
    expect(page.locator(".just-saved")).to_contain_text("1 put out")


@pytest.mark.parametrize(
    "path",
    [
        "/rail?state=all",
        *(
            pytest.param(path, marks=pytest.mark.long)
            for path in ("/rail/choice", "/tickets", "/consignors")
        ),
    ],
)
def test_no_screen_of_the_desk_is_wider_than_its_window(
    open_page: Any, items: list[str], path: str
) -> None:
    page = open_page(path, width=390)
    for width in (390, 768, 1280):
        page.set_viewport_size({"width": width, "height": 844})
        assert page.evaluate("document.documentElement.scrollWidth") <= width, width


@pytest.mark.parametrize(
    ("path", "width", "scheme"),
    in_windows("/rail?state=all", "/rail/choice", "one", "/tickets?today=1"),
)
def test_no_screen_of_the_desk_breaks_a_rule_of_access(
    open_page: Any, items: list[str], path: str, width: int, scheme: str
) -> None:
    place = f"/rail/{items[0]}" if path == "one" else path
    page = open_page(place, width=width, color_scheme=scheme)
    assert violations(page) == []
