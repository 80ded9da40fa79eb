"""Drafts at the Bench with any number of tabs: each tab has its own, and what no tab has waits."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, expect
from signed_in import session_cookie

from resale.storage.items.item_pages import items_page

pytestmark = pytest.mark.screen
# As on an address that the browser does not trust, such as plain HTTP over the shop's network.
NO_LOCKS = "Object.defineProperty(navigator, 'locks', { value: undefined })"


@pytest.fixture(params=["locks", pytest.param("no locks", marks=pytest.mark.long)])
def context(request: pytest.FixtureRequest, open_page: Any) -> BrowserContext:
    page = open_page("/items")
    if request.param == "no locks":
        page.context.add_init_script(NO_LOCKS)
    return page.context


@pytest.fixture
def new_tab(context: BrowserContext, address: str) -> Callable[..., Page]:
    def open_bench(path: str = "/bench/jacket") -> Page:
        page = context.new_page()
        page.goto(address + path)
        return page

    return open_bench


def note(page: Page) -> Any:
    return page.get_by_label("Note")


def key(page: Page) -> str:
    return page.locator('#bench input[name="key"]').input_value()


def saved_notes(browser: Any) -> list[str]:
    return [line.note for line in items_page(browser.app.extensions["resale"].records).lines]


def save(page: Page) -> None:
    page.locator("#save").click()
    expect(page.locator("#just-saved")).to_contain_text("Saved as Q-")


def test_two_tabs_of_one_kind_save_two_items(new_tab: Any, browser: Any) -> None:
    first = new_tab()
    note(first).fill("brown tweed")
    second = new_tab()
    expect(note(second)).to_have_value("")
    note(second).fill("blue serge")
    assert key(first) != key(second)
    before = len(saved_notes(browser))
    save(first)
    save(second)
    assert sorted(saved_notes(browser)[:2]) == ["blue serge", "brown tweed"]
    assert len(saved_notes(browser)) == before + 2


def test_starting_afresh_in_one_tab_leaves_the_others_draft(new_tab: Any) -> None:
    first, second = new_tab(), new_tab()
    note(first).fill("stays")
    note(second).fill("goes")
    second.reload()
    second.get_by_role("button", name="Start afresh").click()
    expect(note(second)).to_have_value("")
    first.reload()
    expect(note(first)).to_have_value("stays")
    # A slip of the finger is no loss either.
    second.get_by_role("button", name="Bring back what stood here").click()
    expect(note(second)).to_have_value("goes")
    second.reload()
    expect(note(second)).to_have_value("goes")


@pytest.mark.long
def test_the_draft_of_a_closed_tab_is_offered_once(new_tab: Any) -> None:
    for text in ("one", "two"):
        tab = new_tab("/bench/shirt")
        note(tab).fill(text)
        tab.close()
    first = new_tab("/bench/shirt")
    expect(first.locator("#begun li")).to_have_count(2)
    note(first).fill("three")
    first.locator("#begun li", has_text="one").get_by_role("button", name="Pick it up").click()
    expect(note(first)).to_have_value("one")
    # What stood there waits in its place.
    expect(first.locator("#begun li", has_text="three")).to_be_visible()
    second = new_tab("/bench/shirt")
    expect(second.locator("#begun li")).to_have_count(2)
    expect(second.locator("#begun")).not_to_contain_text("one")


@pytest.mark.long
def test_a_draft_taken_up_elsewhere_is_an_item_of_its_own_from_there(
    new_tab: Any, browser: Any
) -> None:
    """A frozen tab cannot say that it has a draft; once awake it may not write over the other."""
    asleep = new_tab("/bench/bag")
    note(asleep).fill("one bag")
    asleep.evaluate("dispatchEvent(new Event('pagehide'))")
    second = new_tab("/bench/bag")
    second.get_by_role("button", name="Pick it up").click()
    expect(note(second)).to_have_value("one bag")
    save(second)
    note(asleep).fill("another bag")
    save(asleep)
    assert saved_notes(browser)[:2] == ["another bag", "one bag"]


@pytest.mark.long
def test_a_tab_that_was_doubled_writes_a_draft_of_its_own(new_tab: Any) -> None:
    """A browser gives the double a copy of the tab's own store."""
    first = new_tab()
    note(first).fill("the first")
    with first.expect_popup() as opened:
        first.evaluate("window.open(location.href)")
    double = opened.value
    expect(double.locator("#price, .looked, #result").first).to_be_visible()
    note(double).fill("the double")
    assert key(double) != key(first)
    first.reload()
    expect(note(first)).to_have_value("the first")


@pytest.mark.long
def test_a_draft_outlives_a_restart_of_the_browser(
    restarted: Callable[[], BrowserContext], browser: Any, address: str
) -> None:
    def tab() -> Page:
        context = restarted()
        value = session_cookie(browser.app, "owner")
        context.add_cookies([{"name": "resale", "value": value, "url": address}])
        page = context.new_page()
        page.goto(f"{address}/bench/jacket")
        return page

    page = tab()
    note(page).fill("over night")
    page.context.close()
    page = tab()
    page.get_by_role("button", name="Pick it up").click()
    expect(note(page)).to_have_value("over night")
    page.context.close()


@pytest.mark.long
def test_a_draft_of_before_is_offered(new_tab: Any) -> None:
    """Before, a kind had one draft, under its own name."""
    tab = new_tab("/items")
    tab.evaluate(
        "localStorage.setItem('resale.draft.trousers', JSON.stringify("
        "{ fields: { key: 'of-before', note: 'grey flannel', number: '' } }))"
    )
    tab = new_tab("/bench/trousers")
    tab.get_by_role("button", name="Pick it up").click()
    expect(note(tab)).to_have_value("grey flannel")
    assert key(tab) == "of-before"
