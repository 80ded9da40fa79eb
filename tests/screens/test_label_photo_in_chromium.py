"""A photographed label on the Bench in Chromium: read, filled in, kept with the draft, saved."""

from __future__ import annotations

from typing import Any

import pytest
from drawn_labels import photographed, reader_or_skip
from playwright.sync_api import Page, expect

pytestmark = [pytest.mark.screen, pytest.mark.long]
LABEL = ["Oberstoff: 65% Wolle 35% Polyester", "Futter: 100% Viskose", "Nicht bleichen"]


def with_photo(page: Page, content: bytes) -> None:
    page.locator("#label-photo > summary").click()
    page.locator("#label-shot").set_input_files(
        [{"name": "label.jpg", "mimeType": "image/jpeg", "buffer": content}]
    )
    page.locator("[data-read-label]").click()


@pytest.mark.parametrize("width", [390, 1280])
def test_a_label_is_read_into_the_fields_and_stays_with_the_draft(
    open_page: Any, width: int
) -> None:
    reader_or_skip()
    page = open_page("/bench/coat?way=list", width=width)
    if page.locator(".way-list").is_visible():
        page.locator(".way-list").click()
    page.locator("#note").fill("from the blue bag")
    with_photo(page, photographed(LABEL))
    expect(page.locator("#label-said .read-words")).to_be_visible(timeout=90_000)
    shell = page.locator("[name='m-fibre_shell']")
    expect(shell).to_have_value("Oberstoff: 65% Wolle 35% Polyester, Futter: 100% Viskose")
    expect(page.locator("#care")).to_have_value("Nicht bleichen")
    expect(page.locator("#note")).to_have_value("from the blue bag")
    expect(page.locator("#care-said")).to_contain_text("No bleach")
    expect(page.locator("[name='s-fibre_shell'][value='wool_blend']")).to_be_checked()
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    page.reload()
    expect(page.locator("#care")).to_have_value("Nicht bleichen")
    expect(page.locator("[name='m-fibre_lining']")).not_to_have_value("")


def test_what_was_typed_while_it_was_read_stays_and_no_photo_is_one_sentence(
    open_page: Any,
) -> None:
    reader_or_skip()
    page = open_page("/bench/coat?way=list")
    if page.locator(".way-list").is_visible():
        page.locator(".way-list").click()
    with_photo(page, b"no picture at all")
    expect(page.locator("#label-said")).to_contain_text("no JPEG, PNG or WebP", timeout=90_000)
    page.locator("#care").fill("wash 30")
    page.locator("#label-photo > summary").click()
    with_photo(page, photographed(LABEL))
    expect(page.locator("#label-said")).to_contain_text("Left as it was", timeout=90_000)
    expect(page.locator("#care")).to_have_value("wash 30")
