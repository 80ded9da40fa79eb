"""Every page at the width of a phone: targets for a thumb, whole words, nothing beyond the edge."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from addresses import addresses
from conftest import Desk, serving
from flask import Flask
from signed_in import signed_in

from resale.web import create_app

pytestmark = [pytest.mark.screen, pytest.mark.long]
WIDTH, LEAST = 390, 44
# What a browser takes home, what draws a picture, and what would sign the test out.
NO_PAGE = ("/static", "/api/v1", "/bench-token", "/bench-shell")

# A link inside a line of words is as tall as the line (WCAG 2.2, 2.5.8, exception *inline*); a box
# to tick and a choice are as large as the label around them. 44 px is 2.5.5, its stricter form.
TOO_SMALL = """(least) => {
  const shown = (one) => one.checkVisibility({ visibilityProperty: true })
    && !one.closest('.for-readers, .skip, [inert]') && one.tabIndex !== -1;
  const inLine = (one) => {
    if (getComputedStyle(one).display !== 'inline') return false;
    const words = one.parentElement.cloneNode(true);
    words.querySelectorAll('a, button').forEach((link) => link.remove());
    return words.textContent.trim().length > 1;
  };
  const target = (one) => (['radio', 'checkbox'].includes(one.type) && one.closest('label')) || one;
  const all = 'a[href], button, select, summary, input:not([type=hidden]), textarea';
  const found = [];
  for (const one of document.querySelectorAll(all)) {
    if (!shown(one) || inLine(one)) continue;
    const box = target(one).getBoundingClientRect();
    if (box.width === 0 || (box.height >= least - 0.5 && box.width >= 24)) continue;
    const size = `${Math.round(box.width)} by ${Math.round(box.height)}`;
    found.push(`${one.outerHTML.slice(0, 110)} (${size})`);
  }
  return found;
}"""

# Addresses and keys may break anywhere; words of a language never.
BROKEN = """() => {
  const walk = document.createTreeWalker(document.querySelector('main'), NodeFilter.SHOW_TEXT);
  const range = document.createRange(), found = [];
  while (walk.nextNode()) {
    const text = walk.currentNode, one = text.parentElement;
    const isWords = !one.closest('code, svg, script, textarea, .for-readers');
    if (!isWords || !one.checkVisibility()) continue;
    for (const word of text.data.matchAll(/\\p{L}{3,}/gu)) {
      range.setStart(text, word.index);
      range.setEnd(text, word.index + word[0].length);
      const lines = new Set([...range.getClientRects()].map((box) => Math.round(box.top)));
      if (lines.size > 1) found.push(`${word[0]} breaks in ${one.outerHTML.slice(0, 90)}`);
    }
  }
  return found;
}"""


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory, copy_of_demo: Callable[[Path], Path]) -> Flask:
    return create_app(copy_of_demo(tmp_path_factory.mktemp("phone") / "shop"))


@pytest.fixture(scope="module")
def served(shop: Flask, browser: Desk) -> Iterator[str]:
    with serving(shop, browser) as address:
        yield address


def pages_of(app: Flask) -> list[str]:
    """Addresses that answer with a page to whoever may see everything."""
    client = signed_in(app, "owner")
    found = []
    for path in dict.fromkeys(addresses(app)):
        if path.startswith(NO_PAGE) or "sign-out" in path:
            continue
        answer = client.get(path)
        if answer.status_code == 200 and answer.mimetype == "text/html":
            found.append(path)
        answer.close()
    return found


def test_every_page_fits_a_phone_and_its_targets_a_thumb(
    shop: Flask, served: str, browser: Desk
) -> None:
    paths = pages_of(shop)
    assert {"/", "/bench/jacket", "/rail", "/items", "/ledger", "/drill"} <= set(paths)
    page: Any = browser.new_page(
        viewport={"width": WIDTH, "height": 844}, service_workers="block", reduced_motion="reduce"
    )
    found = []
    for path in paths:
        page.goto(served + path)
        page.locator("main").first.wait_for()
        page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true })")
        beyond = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        found += [f"{path}: {beyond} px beyond the edge"] if beyond > 0 else []
        found += [f"{path}: {one}" for one in page.evaluate(TOO_SMALL, LEAST)]
        found += [f"{path}: {one}" for one in page.evaluate(BROKEN)]
    page.close()
    assert found == [], "\n".join(found)
