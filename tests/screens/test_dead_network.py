"""Nothing typed at the Bench is lost when the network or the shop's machine dies."""

from __future__ import annotations

import itertools
import os
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from mortal_shop import MortalShop
from playwright.sync_api import BrowserContext, Page, Route, expect
from signed_in import NAMES
from sqlalchemy import event

from resale.storage.people.passwords import set_password
from resale.storage.people.people import people

pytestmark = pytest.mark.screen
Device = Callable[..., BrowserContext]
# The parts of the page that a dead machine changes; the rest is looked at with the other screens.
PARTS = {"include": [["#kept"], [".bench-head"], [".guide"], [".side"]]}
WAITS = "It is sent when the shop’s machine answers."


@pytest.fixture(scope="module")
def one_shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[MortalShop]:
    shop = MortalShop(tmp_path_factory.mktemp("shop"))
    yield shop
    shop.stop()


@pytest.fixture
def shop(one_shop: MortalShop) -> MortalShop:
    one_shop.reset()
    one_shop.start()
    return one_shop


@pytest.fixture
def device(browser: Any, shop: MortalShop) -> Iterator[Device]:
    """A browser of its own on one device; faults of its scripts fail the test."""
    contexts, faults = [], []

    def new(**more: Any) -> BrowserContext:
        more.setdefault("service_workers", "block")
        context = browser.new_context(role=None, **more)
        shop.sit(context, "sorter")
        context.set_default_timeout(15_000)
        context.on("weberror", lambda fault: faults.append(str(fault.error)))
        contexts.append(context)
        return context

    yield new
    for context in contexts:
        context.close()
    assert faults == []


def open_bench(context: BrowserContext, shop: MortalShop, path: str = "/bench/jacket") -> Page:
    page = context.new_page()
    page.goto(shop.address + path)
    return page


def save(page: Page, note: str) -> None:
    page.get_by_label("Note").fill(note)
    page.locator("#save").click()


def send_now(page: Page) -> None:
    """Send by hand, where it has not gone by itself meanwhile."""
    page.evaluate("document.getElementById('kept-send').click()")


def kept(page: Page) -> Any:
    return page.locator("#kept-line")


def test_three_saves_outlive_the_machine_and_the_tab(shop: MortalShop, device: Device) -> None:
    context = device()
    page = open_bench(context, shop)
    shop.stop()
    for count, note in enumerate(("brown tweed", "blue serge", "grey flannel"), 1):
        page.locator('label:has(input[name="s-odour"][value="none"])').click()
        expect(page.locator("#result")).to_contain_text("does not answer")
        save(page, note)
        expect(kept(page)).to_contain_text(f"Kept on this device: {count} waiting.")
        expect(page.get_by_label("Note")).to_have_value("")
        expect(page.locator('input[name="s-odour"][value=""]')).to_be_checked()
    page.locator(".kept-ones > summary").click()
    expect(page.locator("#kept-list li")).to_have_count(3)
    expect(page.locator("#kept-list li").first).to_contain_text("Jacket brown tweed")
    page.close()
    shop.start()
    again = open_bench(context, shop, "/")
    expect(kept(again)).to_contain_text("What was kept on this device is saved: Q-")
    assert shop.notes()[-3:] == ["blue serge", "brown tweed", "grey flannel"]
    again.goto(f"{shop.address}/items")
    for note in ("brown tweed", "blue serge", "grey flannel"):
        expect(again.locator("table.items tbody tr", has_text=note)).to_have_count(1)


@pytest.mark.long
def test_what_waits_is_sent_when_the_network_comes_back(shop: MortalShop, device: Device) -> None:
    context = device()
    page = open_bench(context, shop)
    context.set_offline(True)
    save(page, "out of reach")
    expect(kept(page)).to_contain_text(f"1 waiting. {WAITS}")
    context.set_offline(False)
    expect(kept(page)).to_contain_text("is saved: Q-")
    expect(page.locator(".price")).to_be_visible()
    assert shop.notes().count("out of reach") == 1


@pytest.mark.long
def test_a_machine_in_trouble_is_asked_again(shop: MortalShop, device: Device) -> None:
    page = open_bench(device(), shop)
    for code in (500, 503, 507, 429):
        shop.fails_with = code
        save(page, f"trouble {code}")
        expect(kept(page)).to_contain_text("1 waiting")
        shop.fails_with = 0
        page.get_by_role("button", name="Send now").click()
        expect(kept(page)).to_contain_text("is saved: Q-")
        assert shop.notes().count(f"trouble {code}") == 1


@pytest.mark.long
def test_a_full_disk_is_said_while_the_save_waits(shop: MortalShop, device: Device) -> None:
    """SQLite itself refuses to write, as on a full disk or one for reading only."""
    records, order = shop.app.extensions["resale"].records, ["PRAGMA query_only = ON"]
    page = open_bench(device(), shop)
    event.listen(records, "connect", lambda raw, _: order and raw.execute(order[0]))
    records.dispose()
    save(page, "no room for this")
    said = "1 waiting. It is sent when the shop’s machine can write again. It says: the disk"
    expect(kept(page)).to_contain_text(said)
    page.get_by_role("button", name="Send now").click()
    expect(kept(page)).to_contain_text(said)
    order.clear()
    records.dispose()
    send_now(page)
    expect(kept(page)).to_contain_text("is saved: Q-")
    assert shop.notes().count("no room for this") == 1


def test_an_answer_lost_on_the_way_back_saves_once(shop: MortalShop, device: Device) -> None:
    shop.drops_answers = True
    page = open_bench(device(), shop)
    save(page, "answer lost")
    expect(kept(page)).to_contain_text("1 waiting")
    shop.drops_answers = False
    send_now(page)
    expect(kept(page)).to_contain_text("is saved: Q-")
    assert len(shop.posts) >= 2 and len(set(shop.posts)) == 1
    assert shop.notes().count("answer lost") == 1


@pytest.mark.long
def test_a_refused_save_stays_and_is_mended(shop: MortalShop, device: Device) -> None:
    page = open_bench(device(), shop)
    shop.stop()
    page.locator("#f-cuff_buttons").fill("long")
    save(page, "to be mended")
    expect(kept(page)).to_contain_text("1 waiting")
    # What stands half done on the bench waits while another is mended.
    page.get_by_label("Note").fill("half done")
    shop.start()
    send_now(page)
    expect(kept(page)).to_contain_text("1 to be put right. Look at it again and save it.")
    page.locator(".kept-ones > summary").click()
    expect(page.locator("#kept-list li")).to_contain_text("'long' is not a length")
    page.get_by_role("link", name="Look at it again").click()
    expect(page.locator("#draft")).to_contain_text("Kept on this device, not saved yet")
    expect(page.get_by_label("Note")).to_have_value("to be mended")
    expect(page.locator("#f-cuff_buttons")).to_have_value("long")
    page.locator("#f-cuff_buttons").fill("62")
    page.reload()
    expect(page.locator("#f-cuff_buttons")).to_have_value("62")
    page.locator("#save").click()
    expect(page.locator("#just-saved")).to_contain_text("Saved as Q-")
    expect(kept(page)).to_be_empty()
    expect(page.get_by_label("Note")).to_have_value("half done")
    assert shop.notes().count("to be mended") == 1


@pytest.mark.long
def test_a_kept_save_can_be_put_back_or_thrown_away(shop: MortalShop, device: Device) -> None:
    context = device()
    page = open_bench(context, shop)
    context.set_offline(True)
    save(page, "second thoughts")
    expect(kept(page)).to_contain_text("1 waiting")
    page.locator(".kept-ones > summary").click()
    look = page.get_by_role("link", name="Look at it again")
    look.click()
    page.get_by_label("Note").fill("third thoughts")
    page.get_by_role("button", name="Put it back").click()
    expect(page.get_by_label("Note")).to_have_value("")
    expect(page.locator("#kept-list li")).to_contain_text("third thoughts")
    look.click()
    page.get_by_role("button", name="Throw it away").click()
    page.get_by_role("button", name="Throw it away for good?").click()
    expect(kept(page)).to_be_empty()
    context.set_offline(False)
    page.reload()
    assert "third thoughts" not in shop.notes()


@pytest.mark.long
def test_an_entry_in_hand_is_not_sent_from_another_tab(shop: MortalShop, device: Device) -> None:
    context = device()
    page = open_bench(context, shop)
    context.set_offline(True)
    save(page, "in hand")
    page.locator(".kept-ones > summary").click()
    page.get_by_role("link", name="Look at it again").click()
    expect(page.get_by_label("Note")).to_have_value("in hand")
    context.set_offline(False)
    other = open_bench(context, shop, "/items")
    with other.expect_response("**/bench-token"):
        other.get_by_role("button", name="Send now").click()
    expect(kept(other)).to_contain_text("1 waiting")
    page.get_by_label("Note").fill("in hand, mended")
    page.locator("#save").click()
    expect(page.locator("#just-saved")).to_be_visible()
    expect(kept(other)).to_be_empty()
    assert "in hand" not in shop.notes() and "in hand, mended" in shop.notes()
    assert len(shop.posts) == 1


@pytest.mark.long
def test_two_tabs_send_an_entry_once(shop: MortalShop, device: Device) -> None:
    context = device()
    first = open_bench(context, shop)
    second = open_bench(context, shop, "/bench/shirt")
    shop.stop()
    save(first, "from the first")
    save(second, "from the second")
    for page in (first, second):
        expect(kept(page)).to_contain_text("2 waiting. They are sent")
    shop.start()
    for page in (first, second):
        page.evaluate("dispatchEvent(new Event('online'))")
    for page in (first, second):
        expect(page.locator("#kept.is-empty")).to_be_attached()
    assert len(shop.posts) == len(set(shop.posts)) == 2
    assert {"from the first", "from the second"} <= set(shop.notes())


@pytest.mark.long
def test_it_outlives_a_restart_of_the_browser(
    shop: MortalShop, restarted: Callable[[], BrowserContext]
) -> None:
    context = restarted()
    shop.sit(context, "sorter")
    page = open_bench(context, shop)
    shop.stop()
    save(page, "over night")
    expect(kept(page)).to_contain_text("1 waiting")
    context.close()
    shop.start()
    context = restarted()
    shop.sit(context, "sorter")
    page = open_bench(context, shop, "/")
    expect(kept(page)).to_contain_text("is saved: Q-")
    context.close()
    assert shop.notes().count("over night") == 1


@pytest.mark.long
def test_whoever_is_signed_out_loses_nothing(shop: MortalShop, device: Device) -> None:
    context = device()
    page = open_bench(context, shop)
    shop.sit(context, None)
    page.locator('label:has(input[name="s-odour"][value="none"])').click()
    expect(page.locator("#result")).to_contain_text("you are signed out")
    save(page, "signed out")
    expect(kept(page)).to_contain_text("1 waiting. Sign in again and it is sent; nothing is lost.")
    # Another sorter at the same device: it is not theirs to send or to read.
    shop.sit(context, "lead")
    other = open_bench(context, shop, "/items")
    other.locator(".kept-ones > summary").click()
    expect(other.locator("#kept-list li")).to_contain_text(f"Kept by {NAMES['sorter']}")
    expect(other.locator("#kept-list li")).not_to_contain_text("signed out")
    other.close()
    assert "signed out" not in shop.notes()
    shop.sit(context, None)
    records = shop.app.extensions["resale"].records
    sorter = next(one for one in people(records) if one.role == "sorter")
    set_password(records, sorter, "four plain invented words")
    page.get_by_role("link", name="Sign in again").click()
    expect(kept(page)).to_contain_text("1 waiting. Sign in again")
    page.get_by_label("Your name").fill(sorter.name)
    page.get_by_label("Password").fill("four plain invented words")
    page.locator("main form button[type=submit]").click()
    expect(kept(page)).to_contain_text("is saved: Q-")
    expect(page).to_have_url(f"{shop.address}/bench/jacket")
    assert shop.notes().count("signed out") == 1


@pytest.mark.long
def test_a_page_of_somebody_else_does_not_save_under_the_new_name(
    shop: MortalShop, device: Device
) -> None:
    context = device()
    page = open_bench(context, shop)
    shop.sit(context, "lead")
    save(page, "of the sorter")
    expect(kept(page)).to_contain_text("1 waiting. Sign in again")
    with page.expect_response("**/bench-token"):
        page.get_by_role("button", name="Send now").click()
    expect(page.locator("#result")).to_contain_text("you are signed out")
    assert "of the sorter" not in shop.notes()
    shop.sit(context, "sorter")
    send_now(page)
    expect(kept(page)).to_contain_text("is saved: Q-")


@pytest.mark.long
def test_a_page_with_an_old_token_saves_with_a_new_one(shop: MortalShop, device: Device) -> None:
    context = device()
    page = open_bench(context, shop)
    # Signed in anew elsewhere: the page's own token is no good any more.
    shop.sit(context, "sorter")
    page.locator('label:has(input[name="s-odour"][value="none"])').click()
    expect(page.locator(".looked")).to_contain_text("Looked at 1 of")
    shop.sit(context, "sorter")
    save(page, "old token")
    expect(page.locator("#just-saved")).to_contain_text("Saved as Q-")
    assert shop.notes().count("old token") == 1


@pytest.mark.long
def test_a_browser_that_keeps_nothing_leaves_the_form_and_says_so(
    shop: MortalShop, device: Device
) -> None:
    context = device()
    context.add_init_script(
        "const full = () => { throw new DOMException('full', 'QuotaExceededError') };"
        "IDBFactory.prototype.open = full; Storage.prototype.setItem = full;"
    )
    page = open_bench(context, shop)
    page.get_by_label("Note").fill("nowhere to go")
    expect(page.locator("#not-kept")).to_contain_text("leave this page open until it is saved")
    context.set_offline(True)
    page.locator("#save").click()
    expect(page.locator("#silence")).to_contain_text("this browser can keep nothing")
    expect(page.get_by_label("Note")).to_have_value("nowhere to go")
    context.set_offline(False)
    page.locator("#save").click()
    expect(page.locator("#just-saved")).to_contain_text("Saved as Q-")


@pytest.mark.long
def test_a_price_that_comes_late_does_not_take_the_alarm_away(
    shop: MortalShop, device: Device
) -> None:
    context = device()
    context.add_init_script(
        "IDBFactory.prototype.open = () => { throw new DOMException('', 'QuotaExceededError') };"
    )
    page = open_bench(context, shop)
    on_the_way: list[Route] = []

    def stop(one: Route) -> None:
        on_the_way.append(one)

    page.route("**/bench/jacket/look", stop)
    with page.expect_request("**/bench/jacket/look"):
        page.locator('label:has(input[name="s-odour"][value="none"])').click()
    shop.fails_with = 500
    page.locator("#save").click()
    alarm = page.locator("#silence")
    expect(alarm).to_contain_text("this browser can keep nothing")
    shop.fails_with = 0
    on_the_way[0].continue_()
    page.unroute("**/bench/jacket/look")
    for _ in range(3):
        page.evaluate("fetch('/bench-token').then((answer) => answer.text())")
    expect(alarm).to_contain_text("this browser can keep nothing")
    # What the sorter does next asks anew, and the alarm has been read by then.
    page.get_by_label("Note").fill("read")
    expect(alarm).to_be_empty()
    page.locator("#save").click()
    expect(page.locator("#just-saved")).to_contain_text("Saved as Q-")


@pytest.mark.long
@pytest.mark.parametrize("width", [390, 1280])
def test_save_stands_still_while_the_price_comes_and_goes(
    shop: MortalShop, device: Device, width: int
) -> None:
    """A press that begins on a button and ends beside it, as it jumps away, is no press."""
    context = device(viewport={"width": width, "height": 800})
    page = open_bench(context, shop)
    page.locator('label:has(input[name="s-odour"][value="none"])').click()
    expect(page.locator(".looked")).to_contain_text("Looked at 1 of")
    before = page.locator("#save").bounding_box()
    context.set_offline(True)
    page.evaluate("htmx.trigger('#result', 'work')")
    expect(page.locator("#result")).to_contain_text("does not answer")
    assert page.locator("#save").bounding_box() == before


@pytest.mark.long
def test_an_item_on_the_bench_again_keeps_its_number_while_it_waits(
    shop: MortalShop, device: Device
) -> None:
    context = device()
    page = open_bench(context, shop)
    save(page, "first look")
    number = page.locator("#just-saved a").first.inner_text()
    page.goto(f"{shop.address}/bench/jacket?item={number}")
    context.set_offline(True)
    save(page, "second look")
    page.locator(".kept-ones > summary").click()
    expect(page.locator("#kept-list li")).to_contain_text(f"Jacket {number}")
    expect(page.locator("h1")).not_to_contain_text(number)
    context.set_offline(False)
    expect(kept(page)).to_contain_text(f"is saved: {number}")
    assert [line.number for line in shop.saved() if "look" in line.note] == [number]


@pytest.mark.long
def test_the_kept_saves_break_no_rule_of_access(shop: MortalShop, device: Device) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    context = device(viewport={"width": 390, "height": 900}, reduced_motion="reduce")
    page = open_bench(context, shop)
    context.set_offline(True)
    save(page, "brown tweed, a long note of what the sorter saw at the left cuff and under the arm")
    page.locator(".kept-ones > summary").click()
    expect(page.locator("#kept-list li")).to_have_count(1)
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
    schemes: tuple[Any, Any] = ("light", "dark")
    for width, scheme in itertools.product((390, 1280), schemes):
        page.set_viewport_size({"width": width, "height": 900})
        page.emulate_media(color_scheme=scheme)
        if pictures := os.environ.get("PICTURES"):
            page.screenshot(path=f"{pictures}/kept-{width}-{scheme}.png")
        found = axe.Axe().run(page, context=PARTS, options={"runOnly": tags})
        assert [one["id"] for one in found.response["violations"]] == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        heights = page.evaluate(
            "[...document.querySelectorAll('#kept .button, #kept summary, #kept a')]"
            ".filter(e => e.offsetParent).map(e => e.getBoundingClientRect().height)"
        )
        assert min(heights) >= 44
