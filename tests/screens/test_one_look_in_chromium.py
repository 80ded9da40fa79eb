"""One look at a time in a real browser: by thumb, by keys, either hand, and back to the list."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect
from test_accessibility import violations
from test_on_a_phone import BROKEN, LEAST, TOO_SMALL

pytestmark = pytest.mark.screen
BOX = "(one) => { const b = one.getBoundingClientRect(); return [b.x, b.y, b.width, b.height]; }"


def begin(open_page: Any, width: int = 390, height: int = 844, **more: Any) -> Page:
    page: Page = open_page("/bench/jacket", width=width, height=height, **more)
    page.locator(".way-one").click()
    expect(page.locator("#nothing-found.is-asked")).to_be_visible()
    return page


def asked(page: Page) -> Any:
    return page.locator(".is-asked")


def test_a_thumb_answers_one_question_after_the_other_and_saves(open_page: Any) -> None:
    page = begin(open_page)
    expect(page.locator(".sign:visible")).to_have_count(0)
    save = page.locator("#save").evaluate(BOX)
    page.locator("#nothing-found").click()
    expect(page.locator("#sign-look_child.is-asked")).to_be_visible()
    for answer in page.locator(".is-asked .answers label, .pass-row button:visible").all():
        _, top, wide, high = answer.evaluate(BOX)
        # In reach of the thumb: below the middle of the screen, and no smaller than it.
        assert top > 844 / 2 and min(wide, high) >= 44
    page.locator('label:has([name="k-look_child"][value="no"])').click()
    expect(page.locator("#sign-label_standing.is-asked")).to_be_visible()
    page.get_by_role("button", name="Cannot tell").click()
    _pick_what_strikes(page)
    second = asked(page).get_attribute("id")
    page.get_by_role("button", name="Skip").click()
    expect(page.locator(f"#{second}.is-asked")).to_have_count(0)
    page.get_by_role("button", name="Back").click()
    expect(page.locator(f"#{second}.is-asked")).to_be_visible()
    assert page.locator("#save").evaluate(BOX) == save
    assert violations(page) == []
    page.locator("#save").click()
    expect(page.locator("#just-saved")).to_contain_text("Saved as Q-")
    # The device remembers the way, and the next thing is asked for at once.
    expect(page.locator("#nothing-found.is-asked")).to_be_visible()


def _pick_what_strikes(page: Page) -> None:
    """One tap picks, the next takes it back, and the price goes with it; the card stays."""
    expect(page.locator("#striking.is-asked")).to_be_visible()
    chip = page.locator('.struck[value="set_whole two_piece"]')
    expect(chip).to_be_visible()
    assert chip.evaluate(BOX)[3] >= 44
    before = page.locator(".price").text_content() or ""
    chip.click()
    expect(chip).to_have_attribute("aria-pressed", "true")
    expect(page.locator('[name="s-set_whole"][value="two_piece"]')).to_be_checked()
    expect(page.locator(".price")).not_to_have_text(before)
    assert violations(page) == []
    chip.click()
    expect(chip).to_have_attribute("aria-pressed", "false")
    expect(page.locator(".price")).to_have_text(before)
    page.get_by_role("button", name="Nothing else of these").click()
    expect(page.locator("#striking.is-asked")).to_have_count(0)


def go_to_the_card(page: Page) -> None:
    page.locator("#nothing-found").click()
    page.locator('.is-asked label:has([name="k-look_child"][value="no"])').click()
    expect(page.locator("#sign-label_standing.is-asked")).to_be_visible()
    page.get_by_role("button", name="Cannot tell").click()
    expect(page.locator("#striking.is-asked")).to_be_visible()


@pytest.mark.long
def test_the_card_needs_two_swipes_and_what_is_beside_it_is_a_tap_away(open_page: Any) -> None:
    page = begin(open_page)
    page.locator("#size").fill("52")
    page.locator("#note").fill("one button loose")
    go_to_the_card(page)
    expect(page.locator("#label")).to_be_hidden()
    seen = page.locator(".what-strikes").evaluate("(one) => one.scrollHeight / one.clientHeight")
    # A swipe brings four fifths of a screen, so that nothing on the fold is missed.
    assert seen <= 1 + 2 * 0.8
    assert page.evaluate(BROKEN) == []
    assert page.evaluate(TOO_SMALL, LEAST) == []
    # The page stays where it is, so that the same spot folds it away again.
    spot = page.get_by_role("button", name="Label, hold").evaluate(BOX)
    page.mouse.click(spot[0] + 20, spot[1] + 20)
    expect(page.locator("#size")).to_be_visible()
    page.wait_for_timeout(100)
    assert page.get_by_role("button", name="Label, hold").evaluate(BOX) == spot
    expect(page.locator("#size")).to_have_value("52")
    expect(page.get_by_text("Hold this")).to_be_visible()
    assert violations(page) == []
    page.get_by_role("button", name="Label, hold").press("Enter")
    expect(page.locator("#label")).to_be_hidden()
    page.get_by_role("button", name="Nothing else of these").click()
    expect(page.locator("#striking.is-asked")).to_have_count(0)
    expect(page.locator("#note")).to_have_value("one button loose")


@pytest.mark.long
@pytest.mark.parametrize(
    ("width", "height", "scheme"),
    # The last is as tall as the card: what lies half under the row of buttons seems too small.
    [(390, 844, "dark"), (768, 1024, "light"), (768, 1024, "dark"), (1280, 1700, "dark")],
)
def test_the_card_can_be_read_and_tapped_at_each_width_and_by_lamplight(
    open_page: Any, width: int, height: int, scheme: str
) -> None:
    page = begin(open_page, width, height, color_scheme=scheme)
    page.locator(".hand-left").click()
    go_to_the_card(page)
    page.locator(".struck").nth(3).click()
    expect(page.locator(".struck").nth(3)).to_have_attribute("aria-pressed", "true")
    assert violations(page) == []
    assert page.evaluate(BROKEN) == []
    small = page.locator(".struck").evaluate_all(
        "(all) => all.filter((one) => one.offsetHeight < 44 || one.offsetWidth < 44).length"
    )
    assert small == 0


@pytest.mark.long
def test_a_label_that_is_being_typed_does_not_fold_away(open_page: Any) -> None:
    page = begin(open_page)
    page.locator("#nothing-found").click()
    page.locator('.is-asked label:has([name="k-look_child"][value="no"])').click()
    expect(page.locator("#sign-label_standing.is-asked")).to_be_visible()
    # At once, so that the card comes while somebody stands in the field.
    page.evaluate(
        "document.querySelector('.pass-untold').click(); document.querySelector('#label').focus()"
    )
    expect(page.locator("#striking.is-asked")).to_be_visible()
    page.keyboard.type("Inv")
    expect(page.locator("#label")).to_be_focused()
    expect(page.locator("#label")).to_have_value("Inv")


@pytest.mark.long
def test_the_list_holds_what_was_answered_one_by_one_and_the_other_way_round(
    open_page: Any,
) -> None:
    page = begin(open_page)
    page.locator("#nothing-found").click()
    expect(page.locator("#sign-look_child.is-asked")).to_be_visible()
    address = page.url
    page.locator(".way-list").click()
    assert page.url == address
    expect(page.locator('[name="s-moth"][value="none"]')).to_be_checked()
    page.locator('label:has([name="s-label_standing"][value="mass"])').click()
    expect(page.locator(".looked")).to_contain_text("of")
    page.locator(".way-one").click()
    expect(page.locator('[name="s-label_standing"][value="mass"]')).to_be_checked()
    expect(page.locator("#sign-look_child.is-asked")).to_be_visible()


@pytest.mark.long
def test_either_hand_finds_the_answers_and_save_on_its_side(open_page: Any) -> None:
    page = begin(open_page)
    page.locator("#nothing-found").click()
    answers = page.locator("#sign-look_child.is-asked .answers")
    right, save = answers.evaluate(BOX), page.locator("#save").evaluate(BOX)
    page.locator(".hand-left").click()
    left, save_left = answers.evaluate(BOX), page.locator("#save").evaluate(BOX)
    assert left[0] < right[0] and save_left[0] < 390 / 2 < save[0]


def test_keys_alone_answer_pass_and_save(open_page: Any) -> None:
    page = begin(open_page, 1280, 800)
    page.locator("#nothing-found").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#sign-look_child.is-asked")).to_be_visible()
    page.keyboard.press("1")
    expect(page.locator("#sign-label_standing.is-asked")).to_be_visible()
    page.keyboard.press("c")
    expect(page.locator("#striking.is-asked")).to_be_visible()
    expect(page.locator(".struck").first).to_be_focused()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    expect(page.locator(".struck").nth(1)).to_have_attribute("aria-pressed", "true")
    page.keyboard.press("k")
    expect(page.locator("#striking.is-asked")).to_have_count(0)
    first = asked(page).get_attribute("id")
    # An arrow moves and does not answer.
    page.keyboard.press("ArrowRight")
    expect(page.locator(f"#{first}.is-asked")).to_be_visible()
    page.keyboard.press("k")
    expect(page.locator(f"#{first}.is-asked")).to_have_count(0)
    page.keyboard.press("b")
    expect(page.locator(f"#{first}.is-asked")).to_be_visible()
    page.keyboard.press("1")
    expect(page.locator(f"#{first}.is-asked")).to_have_count(0)
    page.keyboard.press("s")
    expect(page.locator("#just-saved")).to_contain_text("Saved as Q-")


@pytest.mark.long
def test_a_sign_is_found_by_its_words_and_answered_by_a_number(open_page: Any) -> None:
    page = open_page("/bench/jacket")
    page.keyboard.press("/")
    # Letters in a field are letters: 's' saves nothing, 'n' goes nowhere.
    page.keyboard.type("snot")
    assert page.url.endswith("/bench/jacket")
    page.locator("#find").fill("canvas")
    expect(page.locator("#found li").first).to_contain_text("Front construction")
    page.keyboard.type(" 4")
    expect(page.locator('[name="s-front_canvas"][value="full_canvas"]')).to_be_checked()
    expect(page.locator("#find")).to_have_value("")
    expect(page.locator("#found")).to_be_hidden()


@pytest.mark.long
def test_one_tap_accepts_what_is_usual_and_a_look_takes_its_place(open_page: Any) -> None:
    page = open_page("/bench/jacket")
    before = page.locator(".price").inner_text()
    page.locator("#usual > summary").click()
    page.get_by_role("button", name="Accept what is usual").click()
    expect(page.locator(".as-usual-said")).to_contain_text("accepted as usual, not looked at")
    assert page.locator(".price").inner_text() == before
    page.reload()
    expect(page.locator('[name="a-front_canvas"]')).to_be_checked()
    page.locator('label:has([name="s-front_canvas"][value="full_canvas"])').click()
    expect(page.locator('[name="a-front_canvas"]')).not_to_be_checked()
