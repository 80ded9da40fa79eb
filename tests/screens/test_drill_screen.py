"""The Drill as a trainee meets it: let in, ten sessions, keys alone, no JavaScript, axe."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from test_accessibility import violations
from windows import EVERY

pytestmark = pytest.mark.screen


def begin(page: Page) -> None:
    expect(page.get_by_role("heading", level=1)).to_have_text("Drill")


def by_keys(page: Page, choice: int) -> None:
    """Answer the card in front with the keyboard alone, and go on."""
    # A key pressed while the page still loads goes nowhere, for a hand as for a test.
    page.wait_for_load_state()
    if page.locator("#answer").count():
        expect(page.locator("#answer")).to_be_focused()
        page.keyboard.type("9")
        page.keyboard.press("Enter")
    else:
        count = page.locator("[data-answer]").count()
        # A stray digit first: the next one takes it back, and nothing was sent.
        page.keyboard.press(str((choice + 1) % count + 1))
        page.keyboard.press(str(choice % count + 1))
        expect(page.locator("[data-answer]").nth(choice % count)).to_be_focused()
        page.keyboard.press("Enter")
    expect(page.locator("#go-on")).to_be_focused()
    page.keyboard.press("Enter")


def let_in(open_page: Any, name: str) -> Page:
    """Let somebody new in: the owner makes her link, and she takes it up in a window of her own."""
    team = open_page("/team", role="owner")
    team.get_by_label("A new name").fill(name)
    team.get_by_role("button", name="Add and make a link").click()
    link = team.locator(".entry-link code").inner_text()
    hers = open_page("/" + link.split("/", 3)[3], role=None)
    expect(hers.get_by_role("heading", level=1)).to_have_text(f"Welcome, {name}")
    hers.get_by_label("Password").fill("linen buckle orchard")
    hers.get_by_label("The same again").fill("linen buckle orchard")
    hers.keyboard.press("Enter")
    expect(hers.locator(".me")).to_contain_text(name)
    return hers


@pytest.mark.long
@pytest.mark.parametrize("sessions", [1, 10])
def test_a_new_trainee_does_her_sessions_by_keys_alone(open_page: Any, sessions: int) -> None:
    name = f"Isolde {sessions}"
    page = let_in(open_page, name)
    page.get_by_role("link", name="Drill", exact=True).click()
    begin(page)
    expect(page.locator(".drill-who")).to_have_text(name)
    expect(page.locator(".drill-start")).to_contain_text("Nothing met yet")
    seen, total = set(), 0
    for session in range(sessions):
        page.wait_for_load_state()
        expect(page.get_by_role("button", name="Start a session")).to_be_focused()
        page.keyboard.press("Enter")
        page.wait_for_url("**/session/**")
        count = int(re.findall(r"Card \d+ of (\d+)", page.inner_text(".card-head"))[0])
        for card in range(count):
            page.wait_for_url(f"**/{card + 1}")
            seen.add(page.inner_text(".card-head p").split(" · ")[1])
            by_keys(page, session + card)
            total += 1
        page.wait_for_url("**/done")
        expect(page.get_by_role("heading", level=1)).to_contain_text(f"of {count} right")
        page.goto(page.url.split("/drill")[0] + "/drill")
    assert total >= 6 * sessions
    assert len(seen) >= min(sessions + 1, 10)
    expect(page.locator(".drill-start")).to_contain_text("met")
    assert page.locator(".progress").count() >= 2
    # Whoever leads sees it; she herself does not see the others.
    expect(page.get_by_role("link", name="How our people are coming on")).to_have_count(0)
    people = open_page("/drill/people", role="lead")
    expect(people.locator(".coming-on")).to_contain_text(name)
    expect(people.locator(".coming-on")).to_contain_text("Last practised today")


def test_a_session_works_without_javascript(open_page: Any) -> None:
    page = open_page("/drill", java_script_enabled=False)
    begin(page)
    page.get_by_role("button", name="Start a session").click()
    expect(page.locator(".card-head")).to_contain_text("Card 1 of")
    if page.locator("#answer").count():
        page.locator("#answer").fill("9")
        page.get_by_role("button", name="That is it").click()
    else:
        page.locator("[data-answer]").first.click()
    expect(page.locator("#verdict")).to_be_visible()
    page.locator("#go-on").click()
    expect(page.locator(".card-head")).to_contain_text("Card 2 of")


@pytest.mark.long
@pytest.mark.parametrize(("width", "scheme"), [(320, "light"), *EVERY])
def test_the_pages_of_the_drill_break_no_rule_of_access(
    open_page: Any, width: int, scheme: Any
) -> None:
    page = open_page("/drill", width=width, color_scheme=scheme, reduced_motion="reduce")
    begin(page)
    found = violations(page)
    page.get_by_role("button", name="Start a session").click()
    for card in range(2):
        expect(page.locator(".card-head")).to_contain_text(f"Card {card + 1} of")
        page.wait_for_load_state()
        found += violations(page)
        if page.locator("#answer").count():
            page.locator("#answer").fill("9")
            page.keyboard.press("Enter")
        else:
            page.locator("[data-answer]").first.click()
        page.wait_for_selector("#go-on")
        page.wait_for_load_state()
        found += violations(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        page.locator("#go-on").click()
    expect(page.locator(".card-head")).to_contain_text("Card 3 of")
    page.goto(page.url.rsplit("/", 1)[0] + "/done")
    found += violations(page)
    assert found == []


def comes_to_a_picture(page: Page) -> bool:
    """Answer the cards of a session until one has a picture."""
    page.get_by_role("button", name="Start a session").click()
    page.wait_for_url("**/session/**")
    count = int(re.findall(r"Card \d+ of (\d+)", page.inner_text(".card-head"))[0])
    for card in range(count):
        page.wait_for_url(f"**/{card + 1}")
        if page.locator(".picture img").count():
            return True
        by_keys(page, card)
    page.wait_for_url("**/done")
    page.goto(page.url.split("/drill")[0] + "/drill")
    return False


@pytest.mark.long
def test_a_drawing_is_put_in_words_for_who_cannot_see_it(open_page: Any) -> None:
    page = open_page("/drill")
    begin(page)
    # Which cards come is left to chance; every session brings some that were never met.
    assert any(comes_to_a_picture(page) for _ in range(6))
    image = page.locator(".picture img")
    assert len(image.get_attribute("alt") or "") > 30
    assert image.evaluate("one => one.complete && one.naturalWidth > 0")
