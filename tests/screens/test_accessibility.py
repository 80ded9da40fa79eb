"""Every screen against the rules of WCAG 2.2 AA that a program can check."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page
from windows import in_windows

axe_playwright = pytest.importorskip("axe_playwright_python.sync_playwright")

pytestmark = pytest.mark.screen
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def violations(page: Page) -> list[str]:
    found = axe_playwright.Axe().run(page, options={"runOnly": TAGS, "resultTypes": ["violations"]})
    return [
        f"{one['id']}: {node['html'][:160]} {node['failureSummary'][:200]}"
        for one in found.response["violations"]
        for node in one["nodes"][:3]
    ]


@pytest.fixture(scope="module")
def saved(address: str, browser: Any) -> str:
    """Path of an item saved with some signs, one of them a hold."""
    page = browser.new_page()
    page.goto(f"{address}/bench/jacket")
    for sign, answer in (("mould", "growth"), ("cuff_buttons", "working"), ("stain", "seen_3")):
        page.locator(f'input[name="s-{sign}"]').and_(page.locator(f'[value="{answer}"]')).or_(
            page.locator(f'input[name="s-{sign}"]').nth(1)
        ).first.check(force=True)
    page.get_by_role("button", name="Save and open").click()
    page.wait_for_url("**/items/*")
    path = page.url.removeprefix(address).split("?")[0]
    page.close()
    return path


@pytest.mark.parametrize(
    ("path", "width", "scheme"),
    in_windows("/", "/bench/jacket", "/items", "/bench/trousers", "/copies", "saved", "/x"),
)
def test_a_screen_breaks_no_rule_of_access(
    browser: Any,
    address: str,
    request: pytest.FixtureRequest,
    path: str,
    width: int,
    scheme: Any,
) -> None:
    context = browser.new_context(
        viewport={"width": width, "height": 900},
        color_scheme=scheme,
        reduced_motion="reduce",
        service_workers="block",
    )
    page = context.new_page()
    page.goto(address + (request.getfixturevalue("saved") if path == "saved" else path))
    if path == "/copies":
        page.get_by_role("button", name="Keep a copy now").click()
        page.get_by_role("link", name="Take it away").first.wait_for()
    if path.startswith("/bench"):
        page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
    found = violations(page)
    context.close()
    assert found == []
