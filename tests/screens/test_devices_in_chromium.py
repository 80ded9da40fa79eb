"""The pages of the devices in a browser: no rule of access broken, nothing too wide."""

from __future__ import annotations

from typing import Any

import pytest
from test_accessibility import violations
from windows import PHONE, WIDE

pytestmark = pytest.mark.screen


@pytest.mark.long
@pytest.mark.parametrize(("width", "scheme"), [PHONE, pytest.param(*WIDE, marks=pytest.mark.long)])
def test_a_token_is_made_by_keyboard_and_no_rule_of_access_is_broken(
    browser: Any, address: str, width: int, scheme: Any
) -> None:
    context = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme)
    page = context.new_page()
    page.goto(f"{address}/devices")
    page.get_by_label("What you call it").fill(f"Till {width}")
    page.keyboard.press("Enter")
    assert len(page.get_by_label("Its token.").input_value()) == 43
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.goto(f"{address}/api")
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    context.close()
