"""The commonest answers through every kind: never ready before each hazard was asked."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from resale.garments.rulebook.rule_book import load_rule_book
from resale.safety.required_looks import required_looks

pytestmark = pytest.mark.screen
BOOK = load_rule_book()
MOST_STEPS = 12


def tap(page: Page, name: str, answer: str) -> None:
    field = page.locator(f'input[name="{name}"][value="{answer}"]')
    field.evaluate(
        "(one) => { for (let up = one; (up = up.closest('details:not([open])')); ) up.open = true }"
    )
    page.locator(f'label:has(input[name="{name}"][value="{answer}"])').click()


def commonest(kind: str, signal: str) -> str:
    return max(BOOK.kinds[kind].by_id[signal].options, key=lambda one: one.share).id


@pytest.mark.long
@pytest.mark.parametrize(
    "kind",
    [
        "jacket",
        *(pytest.param(one, marks=pytest.mark.long) for one in BOOK.kinds if one != "jacket"),
    ],
)
def test_advice_followed_to_its_end_is_not_ready_until_each_hazard_was_asked(
    open_page: Any, kind: str
) -> None:
    page = open_page(f"/bench/{kind}")
    ready = page.get_by_text("Ready to ticket")
    for _ in range(MOST_STEPS):
        expect(ready).to_have_count(0)
        following = page.locator("#next-link")
        if not following.count():
            break
        signal = (following.get_attribute("href") or "").removeprefix("#sign-")
        tap(page, f"s-{signal}", commonest(kind, signal))
        expect(page.locator(f"#next:not([data-next='{signal}'])")).to_be_attached()
    expect(page.locator(".unready")).to_contain_text("Still to look at")
    page.get_by_role("button", name=re.compile("^Looked at all of these")).click()
    expect(page.locator("#next .unready a").first).to_be_visible()
    # What is a child's by its kind is not asked whose it is.
    if kind != "child":
        tap(page, "k-look_child", "no")
    expect(page.locator('#next a[href="#sign-look_child"]')).to_have_count(0)
    for one in required_looks(BOOK.kinds[kind], {"kind": kind, "choices": {}, "looks": {}}):
        name = f"{'s' if one.is_signal else 'k'}-{one.id}"
        if one.harmless:
            expect(page.locator(f'input[name="{name}"]:checked')).not_to_have_value("")
