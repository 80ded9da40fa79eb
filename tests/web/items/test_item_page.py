"""What stands on the page of a saved item."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from flask import Flask
from rail_shop import RailShop
from signed_in import Lay

from resale.services.on_hand.lines import rail_of
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


def test_what_must_still_be_looked_at_is_said_in_the_list_and_at_the_foot_of_the_page(
    app: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The Rail says the same; a price beside 'Put out' would be taken for a ticket."""
    rail = RailShop(app, monkeypatch)
    bare, whole = rail.save("jacket", looked=False), rail.save("jacket")
    rows = rail.client.get("/items").text.split("<tr>")
    of = {number: next(row for row in rows if number in row) for number in (bare, whole)}
    assert "Look first" in of[bare] and "none yet" in of[bare] and "Put out" not in of[bare]
    assert "Look first" not in of[whole] and "none yet" not in of[whole]
    foot = rail.client.get(f"/items/{bare}").text.split('class="to-ticket"')[1]
    assert "look first" in foot.split("</a>")[0]
    standing = {line.number: line.standing for line in rail_of(rail.shop, rail.day).lines}
    assert (standing[bare], standing[whole]) == ("look", "ready")
