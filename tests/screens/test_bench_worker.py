"""The worker in the browser: the Bench opens while the shop's machine is away, and nothing else."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from mortal_shop import MortalShop
from playwright.sync_api import BrowserContext, Error, Page, expect
from screen_looks import pick_kind
from signed_in import NAMES

pytestmark = pytest.mark.screen
READY = """async () => {
  await navigator.serviceWorker.ready;
  const kept = await caches.keys();
  return kept.filter((name) => name.startsWith("resale.bench.")).length;
}"""
KEPT_PAGES = """async () => {
  const texts = [];
  for (const name of await caches.keys()) {
    const store = await caches.open(name);
    for (const one of await store.keys()) {
      texts.push([new URL(one.url).pathname, await (await store.match(one)).text()]);
    }
  }
  return texts;
}"""


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[MortalShop]:
    one = MortalShop(tmp_path_factory.mktemp("shop"))
    yield one
    one.stop()


@pytest.fixture
def context(browser: Any, shop: MortalShop) -> Iterator[BrowserContext]:
    shop.reset()
    shop.start()
    one = browser.new_context(role=None)
    shop.sit(one, "sorter")
    one.set_default_timeout(8000)
    yield one
    one.close()


def ready(context: BrowserContext, shop: MortalShop) -> Page:
    """Open the Bench once while the machine is there, so that the worker has kept it."""
    page = context.new_page()
    page.goto(f"{shop.address}/")
    assert page.evaluate(READY) == 1
    return page


@pytest.mark.long
def test_the_bench_opens_and_saves_wait_while_the_machine_is_away(
    context: BrowserContext, shop: MortalShop
) -> None:
    ready(context, shop).close()
    shop.stop()
    page = context.new_page()
    page.goto(f"{shop.address}/")
    pick_kind(page, "Shoes")
    expect(page.locator("#result")).to_contain_text("does not answer")
    page.locator('label:has(input[name="s-heel_wear"][value="level"])').click()
    page.get_by_label("Note").fill("from a kept page")
    page.locator("#save").click()
    expect(page.locator("#kept-line")).to_contain_text("1 waiting")
    page.reload()
    expect(page.locator("#kept-line")).to_contain_text("1 waiting")
    with pytest.raises(Error, match="ERR_CONNECTION_REFUSED"):
        page.goto(f"{shop.address}/items")
    shop.start()
    page = context.new_page()
    page.goto(f"{shop.address}/bench/shoes")
    expect(page.locator("#kept-line")).to_contain_text("is saved: Q-")
    assert shop.notes().count("from a kept page") == 1


@pytest.mark.long
def test_a_kept_page_comes_to_life_when_the_machine_is_back(
    context: BrowserContext, shop: MortalShop
) -> None:
    ready(context, shop).close()
    shop.stop()
    page = context.new_page()
    page.goto(f"{shop.address}/bench/jacket")
    page.locator('label:has(input[name="s-odour"][value="none"])').click()
    expect(page.locator("#result")).to_contain_text("does not answer")
    shop.start()
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator(".looked")).to_contain_text("Looked at 1 of")
    page.get_by_label("Note").fill("life again")
    page.locator("#save").click()
    expect(page.locator("#just-saved")).to_contain_text("Saved as Q-")


@pytest.mark.long
def test_what_is_kept_holds_no_person_no_token_and_no_item(
    context: BrowserContext, shop: MortalShop
) -> None:
    page = ready(context, shop)
    page.goto(f"{shop.address}/bench/jacket")
    expect(page.locator("body")).to_have_attribute("data-person", NAMES["sorter"])
    page.get_by_label("Note").fill("found in Zagg Street")
    page.locator("#save").click()
    expect(page.locator("#just-saved")).to_be_visible()
    kept = dict(page.evaluate(KEPT_PAGES))
    pages = {path: text for path, text in kept.items() if path.startswith("/bench-shell")}
    assert {"/bench-shell", "/bench-shell/jacket"} <= set(pages)
    assert all(path.startswith(("/bench-shell", "/static/")) for path in kept)
    for text in pages.values():
        assert NAMES["sorter"] not in text and "Zagg" not in text and "Q-0" not in text
        assert 'name="csrf_token" value=""' in text or 'id="bench"' not in text


@pytest.mark.long
def test_it_is_forgotten_once_somebody_signs_out(context: BrowserContext, shop: MortalShop) -> None:
    page = ready(context, shop)
    page.goto(f"{shop.address}/bench/bag")
    context.set_offline(True)
    page.get_by_label("Note").fill("waits for the sorter")
    page.locator("#save").click()
    expect(page.locator("#kept-line")).to_contain_text("1 waiting")
    shop.fails_with = 503
    context.set_offline(False)
    page.goto(f"{shop.address}/you")
    page.get_by_role("button", name="Sign out", exact=True).click()
    expect(page.get_by_label("Password")).to_be_visible()
    page.wait_for_function("caches.keys().then((names) => names.length === 0)")
    shop.stop()
    with pytest.raises(Error, match="ERR_FAILED"):
        page.goto(f"{shop.address}/bench/jacket")
    shop.start()
    shop.fails_with = 0
    shop.sit(context, "sorter")
    page = context.new_page()
    page.goto(f"{shop.address}/")
    # The pages went with whoever signed out; what was typed did not.
    expect(page.locator("#kept-line")).to_contain_text("is saved: Q-")
    page.wait_for_function("caches.keys().then((names) => names.length === 1)")


@pytest.mark.long
def test_it_is_forgotten_once_the_session_has_ended(
    context: BrowserContext, shop: MortalShop
) -> None:
    page = ready(context, shop)
    shop.sit(context, None)
    page.goto(f"{shop.address}/")
    expect(page.get_by_label("Password")).to_be_visible()
    page.wait_for_function("caches.keys().then((names) => names.length === 0)")
