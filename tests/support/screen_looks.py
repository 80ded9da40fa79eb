"""Looking an item over on the screen of the Bench, as somebody does who finds nothing."""

from __future__ import annotations

import re

from looked_over import looked_over
from playwright.sync_api import Page


def look_over(page: Page, kind: str, **seen: str) -> None:
    """Answer every look that the kind still requires beside what was seen."""
    for name, answer in looked_over(kind, seen).items():
        field = page.locator(f'input[name="{name}"][value="{answer}"]')
        # Some lie in a zone that is folded; a click of the field itself needs no open fold.
        field.evaluate("(one) => one.click()")


def pick_kind(page: Page, name: str) -> None:
    """Take a kind on the first screen by typing it; which have a tile changes with the shop."""
    page.get_by_label("Type what it is").fill(name)
    page.get_by_role("link", name=re.compile(f"^{name}")).first.click()
