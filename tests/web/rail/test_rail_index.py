"""The lines that the Rail keeps are, item by item, those of looking at everything anew."""

from __future__ import annotations

from dataclasses import replace

import pytest
from flask import Flask
from rail_shop import RailShop

from resale.services.on_hand import rail_index
from resale.services.on_hand.lines import RailLine, rail_of
from resale.services.on_hand.rail_index import index_of, to_look_at


def placed(line: RailLine) -> RailLine:
    """A line without its place among those that were looked at with it."""
    return replace(line, row=min(line.row, 0))


def agrees(rail: RailShop) -> int:
    """See that the index says what looking at everything says; gives how many were looked at."""
    looked = len(to_look_at(rail.shop, rail.day))
    index = index_of(rail.shop, rail.day)
    whole = rail_of(rail.shop, rail.day)
    ids = whole.ids()
    kept = {item: placed(line) for item, line in index.lines.items()}
    assert kept == {ids[line.number]: placed(line) for line in whole.lines}
    assert to_look_at(rail.shop, rail.day) == []
    return looked


def test_the_index_follows_whatever_happens_to_an_item(
    app: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    # In blocks of two, so that more than one is looked at.
    monkeypatch.setattr(rail_index, "AT_ONCE", 2)
    rail = RailShop(app, monkeypatch)
    first, second, third = (rail.save(kind, "52") for kind in ("jacket", "shirt", "jacket"))
    assert agrees(rail) == 3
    rail.post("/rail/out", pick=[first, second])
    assert agrees(rail) == 2
    rail.post(f"/rail/ticket/{third}", price="31", reason="a guess")
    assert agrees(rail) == 1
    held = rail.post(f"/held/{third}", hold="mould", note="a bloom at the hem")
    assert held.status_code == 303
    assert agrees(rail) == 1
    rail.later(31)
    assert agrees(rail) == 3
    index = index_of(rail.shop, rail.day)
    assert index.due("mark") or index.due("pass_on")
    day = rail.day.isoformat()
    sold = rail.post(f"/ledger/item/{first}", what="sold", amount="20", day=day, payment="cash")
    assert sold.status_code == 303
    assert agrees(rail) == 1
    assert {line.number for line in index_of(rail.shop, rail.day).lines.values()} == {second, third}
