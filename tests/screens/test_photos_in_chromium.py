"""Two photos added to an item on a phone's width, seen, marked, and seen without JavaScript."""

from __future__ import annotations

import re
from typing import Any

import pytest
from camera import shot
from playwright.sync_api import Page, expect
from test_accessibility import violations

pytestmark = pytest.mark.screen


def photo(name: str, width: int, height: int, turn: int = 1) -> dict[str, Any]:
    content = shot(width, height, turn=turn)
    return {"name": name, "mimeType": "image/jpeg", "buffer": content}


def saved_jacket(page: Page) -> None:
    """Save a jacket on the bench and follow the link to its photos."""
    page.locator('label:has(input[name="s-cuff_buttons"][value="working"])').click()
    page.locator("#save").click()
    page.get_by_role("link", name="Add photos").click()
    page.wait_for_url("**/items/*#photos")


def sizes(page: Page) -> list[list[int]]:
    """Size of each thumbnail as the browser decoded it."""
    pictures = page.locator(".photos img")
    for place in range(pictures.count()):
        pictures.nth(place).scroll_into_view_if_needed()
        expect(pictures.nth(place)).to_have_js_property("complete", True)
    found: list[list[int]] = pictures.evaluate_all(
        "all => all.map(one => [one.naturalWidth, one.naturalHeight])"
    )
    return found


@pytest.mark.first
def test_two_photos_are_added_and_seen_on_a_phone(open_page: Any) -> None:
    page = open_page("/bench/jacket", width=390, height=844)
    if not page.locator('input[name="s-cuff_buttons"][value="working"]').is_visible():
        page.locator('details.more:has([name="s-cuff_buttons"]) > summary').first.click()
    saved_jacket(page)
    camera = page.get_by_label("Take with the camera")
    assert camera.get_attribute("capture") == "environment"
    page.get_by_label("They show").select_option("cuff_buttons")
    # The second was taken with the tablet on its side.
    camera.set_input_files([photo("a.jpg", 800, 600), photo("b.jpg", 800, 600, turn=6)])
    page.get_by_role("button", name="Add photos").click()
    expect(page.get_by_text("2 photos are kept.")).to_be_visible()
    page.wait_for_load_state()
    assert sizes(page) == [[320, 240], [240, 320]]
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert violations(page) == []
    page.get_by_role("link", name=re.compile("^Photo 2:")).click()
    page.get_by_label(re.compile("the right answer")).select_option("working")
    page.get_by_role("button", name="Mark it").click()
    expect(page.get_by_text("Good for teaching:")).to_be_visible()
    page.wait_for_load_state()
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert violations(page) == []


@pytest.mark.long
def test_photos_need_no_javascript_and_a_bad_one_is_said(open_page: Any) -> None:
    more = {"java_script_enabled": False, "color_scheme": "dark"}
    page = open_page("/items", **more)
    page.locator("table.items th a").first.click()
    expect(page.get_by_role("button", name="Add photos")).to_be_visible()
    before = page.locator(".photos img").count()
    bad = {"name": "notes.txt", "mimeType": "text/plain", "buffer": b"no picture"}
    page.get_by_label("or pick some").set_input_files([photo("c.jpg", 640, 640), bad])
    page.get_by_role("button", name="Add photos").click()
    said = page.get_by_role("alert").filter(has_text="1 is kept; this is not:")
    expect(said).to_contain_text("Photo 2 (notes.txt): it is no JPEG, PNG or WebP picture")
    expect(page.locator(".photos img")).to_have_count(before + 1)


@pytest.mark.long
def test_the_page_that_forgets_a_consignor_breaks_no_rule_of_access(open_page: Any) -> None:
    page = open_page("/consignors", width=390, color_scheme="dark")
    page.get_by_label("Number").fill("C-1")
    page.get_by_label("Name, if you need one").fill("An Invented Name")
    page.get_by_role("button", name="Keep").click()
    page.get_by_role("link", name="They asked to be forgotten").click()
    expect(page.get_by_role("button", name="Forget C-1")).to_be_visible()
    assert violations(page) == []
    page.get_by_role("button", name="Forget C-1").click()
    expect(page.get_by_text("Done: the name is replaced")).to_be_visible()
    expect(page.get_by_text("An Invented Name")).to_have_count(0)
