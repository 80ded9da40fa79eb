"""What stands on the page of a saved item."""

from __future__ import annotations

import re
from pathlib import Path

from signed_in import Lay

from resale.web import create_app


def test_nothing_is_said_to_have_been_read_that_nobody_answered(
    tmp_path: Path, copy_of_demo: Lay
) -> None:
    """The level of prices moves the estimate as a sign does, and was read by nobody."""
    page = create_app(copy_of_demo(tmp_path), demo=True).test_client().get("/items/Q-03001").text
    assert "Prices since a year ago" in page
    (listed,) = re.findall(r'<h2>As it was read</h2>.*?<ul class="readings">(.*?)</ul>', page, re.S)
    answers = re.findall(r"<li>([^:]+): <b>(.*?)</b>", listed)
    assert answers and all(answer for _, answer in answers)
