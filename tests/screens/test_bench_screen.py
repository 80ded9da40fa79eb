"""The Bench as a sorter uses it: by hand, by keys, on each width, with and without JavaScript."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect
from screen_looks import pick_kind

pytestmark = pytest.mark.screen


def tap(page: Page, sign: str, answer: str) -> None:
    page.locator(f'label:has(input[name="s-{sign}"][value="{answer}"])').click()


@pytest.mark.parametrize(
    ("kind", "answers"),
    [
        ("Jacket", {"label_standing": "middle", "odour": "none", "cuff_buttons": "working"}),
        pytest.param(
            "Shirt",
            {"label_standing": "mass", "shirt_button": "corozo", "stain": "hidden_2"},
            marks=pytest.mark.long,
        ),
        pytest.param(
            "Shoes",
            {"label_standing": "premium", "sole_whole": "whole", "heel_wear": "level"},
            marks=pytest.mark.long,
        ),
    ],
)
def test_an_item_is_valued_by_tapping_and_saved(
    open_page: Any, kind: str, answers: dict[str, str]
) -> None:
    page = open_page("/")
    pick_kind(page, kind)
    page.get_by_label("Maker’s label").fill("Harrowmere")
    before = page.locator(".price").inner_text()
    for sign, answer in answers.items():
        field = page.locator(f'input[name="s-{sign}"][value="{answer}"]')
        if not field.is_visible():
            page.locator(f'details.more:has([name="s-{sign}"]) > summary').first.click()
        tap(page, sign, answer)
        expect(field).to_be_checked()
    expect(page.locator(".looked")).to_contain_text(f"Looked at {len(answers)} of")
    assert page.locator(".price").inner_text() != before
    page.get_by_role("button", name="Save and next").click()
    expect(page.locator("#just-saved")).to_contain_text("Saved as Q-")
    expect(page.get_by_label("Maker’s label")).to_have_value("")
    page.get_by_role("link", name="Items").click()
    expect(page.locator("table.items tbody tr").first).to_contain_text(f"{kind}")


def test_the_whole_job_is_done_by_keys_alone(open_page: Any) -> None:
    page = open_page("/")
    expect(page.locator("html.js")).to_be_attached()
    page.keyboard.press("/")
    page.keyboard.type("jacket")
    page.keyboard.press("Enter")
    expect(page.locator("html.js h1")).to_contain_text("Jacket")
    page.keyboard.press("n")
    first = page.evaluate("document.activeElement.closest('.sign').id")
    page.keyboard.press("1")
    expect(page.locator(".looked")).to_contain_text("Looked at 1 of ")
    assert page.evaluate("document.activeElement.closest('.sign').id") == first
    page.keyboard.press("Enter")
    second = page.evaluate("document.activeElement.closest('.sign').id")
    assert second != first
    page.keyboard.press("n")
    page.keyboard.press("2")
    expect(page.locator(".looked")).to_contain_text("Looked at 2 of ")
    page.keyboard.press("0")
    expect(page.locator(".looked")).to_contain_text("Looked at 1 of ")
    page.keyboard.press("s")
    expect(page.locator("#just-saved")).to_contain_text("Saved as Q-")


@pytest.mark.long
def test_damage_that_is_seen_is_entered_with_shift(open_page: Any) -> None:
    page = open_page("/bench/jacket")
    page.locator('input[name="s-stain"][value=""]').focus()
    page.keyboard.press("Shift+Digit4")
    expect(page.locator('input[name="s-stain"][value="seen_3"]')).to_be_checked()
    page.keyboard.press("4")
    expect(page.locator('input[name="s-stain"][value="hidden_3"]')).to_be_checked()


def test_a_tap_neither_moves_the_page_nor_takes_the_focus(open_page: Any) -> None:
    page = open_page("/bench/jacket", width=768, height=1024)
    target = page.locator('label:has(input[name="s-odour"][value="none"])')
    target.scroll_into_view_if_needed()
    before = page.evaluate("window.scrollY")
    target.click()
    expect(page.locator(".looked")).to_contain_text("Looked at 1 of")
    assert page.evaluate("window.scrollY") == before
    assert page.evaluate("document.activeElement.name") == "s-odour"


@pytest.mark.long
def test_a_label_as_typed_fills_the_answer_and_a_tap_takes_its_place(open_page: Any) -> None:
    page = open_page("/bench/jacket")
    page.locator("#m-fibre_shell").fill("100% wool")
    expect(page.locator("#said-fibre_shell")).to_contain_text("pure wool")
    expect(page.locator('input[name="s-fibre_shell"][value="wool"]')).to_be_checked()
    page.locator("#sign-fibre_shell .by-hand > summary").click()
    tap(page, "fibre_shell", "acrylic")
    expect(page.locator("#m-fibre_shell")).to_have_value("")
    expect(page.locator(".seam")).to_contain_text("Outer fibre, much acrylic")


def test_a_reload_and_a_closed_tab_keep_the_draft(open_page: Any, address: str) -> None:
    page = open_page("/bench/jacket")
    tap(page, "odour", "none")
    page.get_by_label("Note").fill("button in the pocket")
    page.reload()
    expect(page.locator("#draft")).to_contain_text("Picked up where you left off")
    expect(page.locator('input[name="s-odour"][value="none"]')).to_be_checked()
    context = page.context
    page.close()
    again = context.new_page()
    again.goto(f"{address}/")
    expect(again.locator('[data-kind-link="jacket"] .kind-draft')).to_be_visible()
    again.goto(f"{address}/bench/jacket")
    again.get_by_role("button", name="Pick it up").click()
    expect(again.get_by_label("Note")).to_have_value("button in the pocket")
    expect(again.locator(".looked")).to_contain_text("Looked at 1 of")
    again.get_by_role("button", name="Start afresh").click()
    expect(again.get_by_label("Note")).to_have_value("")
    expect(again.locator("#draft")).to_contain_text("Started afresh")


@pytest.mark.long
def test_a_saved_item_leaves_no_draft_behind(open_page: Any) -> None:
    page = open_page("/bench/bag")
    page.get_by_label("Note").fill("blue")
    page.get_by_role("button", name="Save and next").click()
    expect(page.locator("#just-saved")).to_be_visible()
    page.reload()
    expect(page.locator("#draft")).to_be_hidden()
    expect(page.get_by_label("Note")).to_have_value("")


@pytest.mark.long
def test_what_cannot_be_saved_is_said_above_the_form(open_page: Any) -> None:
    page = open_page("/bench/jacket")
    page.locator("#f-cuff_buttons").fill("long")
    with page.expect_response("**/save"):
        page.get_by_role("button", name="Save and next").click()
    expect(page.locator("#trouble")).to_contain_text("is not a length")
    expect(page.locator("#f-cuff_buttons")).to_have_value("long")


@pytest.mark.long
def test_a_price_asked_for_while_saving_is_never_sent_to_be_saved(open_page: Any) -> None:
    page = open_page("/bench/jacket")
    sent = []
    page.on("request", lambda one: sent.append(one.url) if one.url.endswith("/save") else None)
    page.locator("#f-cuff_buttons").fill("long")
    page.get_by_role("button", name="Save and next").click()
    expect(page.locator("#trouble")).to_contain_text("is not a length")
    with page.expect_response("**/look"):
        page.get_by_label("Maker’s label").fill("Harrowmere")
    assert len(sent) == 1


@pytest.mark.long
def test_signs_of_denim_show_only_for_denim(open_page: Any) -> None:
    page = open_page("/bench/trousers")
    expect(page.locator("#sign-denim_weight")).to_be_hidden()
    tap(page, "denim_or_not", "denim")
    expect(page.locator("#sign-denim_weight")).to_be_visible()


@pytest.mark.parametrize(
    "path",
    [
        "/bench/jacket",
        *(
            pytest.param(path, marks=pytest.mark.long)
            for path in ("/", "/bench/trousers", "/items")
        ),
    ],
)
def test_nothing_runs_off_the_side(open_page: Any, path: str) -> None:
    page = open_page(path, width=320, height=844)
    for width in (320, 390, 768, 1280):
        page.set_viewport_size({"width": width, "height": 844})
        assert page.evaluate("document.documentElement.scrollWidth") <= width, width


def test_answers_are_big_enough_for_a_thumb(open_page: Any) -> None:
    page = open_page("/bench/jacket", width=390, height=844)
    heights = page.evaluate(
        "[...document.querySelectorAll('.option, .button, .tape a, .more > summary')]"
        ".filter(e => e.offsetParent).map(e => e.getBoundingClientRect().height)"
    )
    assert len(heights) > 100
    assert min(heights) >= 44


def test_on_a_phone_the_ticket_is_a_strip_that_opens(open_page: Any) -> None:
    page = open_page("/bench/jacket", width=390, height=844)
    expect(page.locator("#strip")).to_be_in_viewport()
    expect(page.locator(".ticket")).to_be_hidden()
    page.locator("#pinned > summary").click()
    expect(page.locator(".ticket")).to_be_in_viewport()


def test_without_javascript_an_item_is_worked_out_and_saved(open_page: Any) -> None:
    page = open_page("/bench/jacket", width=768, height=1024, java_script_enabled=False)
    tap(page, "odour", "none")
    page.get_by_role("button", name="Work it out").click()
    expect(page.locator(".looked")).to_contain_text("Looked at 1 of")
    expect(page.locator('input[name="s-odour"][value="none"]')).to_be_checked()
    page.get_by_role("button", name="Looked it all over").click()
    expect(page.locator('input[name="s-hole"][value="none"]')).to_be_checked()
    page.get_by_role("button", name="Save and open").click()
    expect(page.locator("h1")).to_contain_text("Q-")
    expect(page.locator(".seam")).to_contain_text("Odour, none")
    page.get_by_role("link", name="On the bench again").click()
    expect(page.locator('input[name="s-odour"][value="none"]')).to_be_checked()


@pytest.mark.long
def test_in_print_only_the_ticket_and_the_seam_are_left(open_page: Any) -> None:
    page = open_page("/bench/jacket")
    page.emulate_media(media="print")
    expect(page.locator(".ticket")).to_be_visible()
    expect(page.locator(".seam")).to_be_visible()
    for gone in (".top", "#bench", ".actions", ".first-item"):
        expect(page.locator(gone)).to_be_hidden()


@pytest.mark.long
def test_in_print_the_words_beside_a_ticket_stand_beside_it(open_page: Any) -> None:
    page = open_page("/bench/jacket")
    page.locator("#size").fill("52")
    page.locator("#note").fill("one button loose")
    page.get_by_role("button", name="Save and open").click()
    page.wait_for_url("**/items/*")
    page.emulate_media(media="print")
    right = "(one) => one.getBoundingClientRect().right"
    left = "(one) => one.getBoundingClientRect().left"
    edge = page.locator(".ticket").evaluate(right)
    for beside in (".note >> nth=0", ".note >> nth=1", ".seam"):
        assert page.locator(beside).evaluate(left) > edge
    expect(page.locator(".photo-part")).to_be_hidden()


@pytest.mark.long
def test_a_tap_before_the_script_is_there_counts(open_page: Any) -> None:
    """A slow tablet: the form is drawn and tapped while its script is still on the way."""
    page = open_page("/")
    held: list[Any] = []
    page.route("**/bench.js", lambda route: held.append(route))  # noqa: PLW0108 - it hangs a mark on what it is given
    page.goto(page.url + "bench/jacket", wait_until="commit")
    field = page.locator('input[name="s-cuff_buttons"][value="working"]')
    expect(field).to_be_attached()
    field.check(force=True)
    expect(page.locator(".looked")).to_contain_text("Looked at 0 of")
    held[0].continue_()
    expect(page.locator(".looked")).to_contain_text("Looked at 1 of")
