"""The lines that the Rail keeps are, item by item, those of looking at everything anew."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from counted import counted
from flask import Flask
from rail_shop import RailShop

from resale.services.actor import Actor
from resale.services.consignors.save_consignor import save_consignor
from resale.services.items.call_label import call_label
from resale.services.on_hand import rail_index
from resale.services.on_hand.lines import RailLine, looked, rail_of
from resale.services.on_hand.rail_index import index_of, to_look_at
from resale.services.settlement.consigned import agree_share, bring_items


def placed(line: RailLine) -> RailLine:
    """A line without its place among those that were looked at with it."""
    return replace(line, row=min(line.row, 0))


def agrees(rail: RailShop) -> int:
    """See that the index says what looking at everything says; gives how many were looked at."""
    many = len(to_look_at(rail.shop, rail.day))
    index = index_of(rail.shop, rail.day)
    whole = looked(rail.shop, rail.day)
    ids = whole.ids()
    kept = {item: placed(line) for item, line in index.lines.items()}
    assert kept == {ids[line.number]: placed(line) for line in whole.lines}
    assert to_look_at(rail.shop, rail.day) == []
    assert {n: placed(line) for n, line in rail_of(rail.shop, rail.day).numbered().items()} == {
        line.number: placed(line) for line in whole.lines
    }
    return many


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


def test_a_share_agreed_anew_and_a_label_called_otherwise_are_followed(
    app: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Neither is an event of the item, and both stand on its line."""
    rail = RailShop(app, monkeypatch)
    mine, other = rail.save("jacket", label="Ombrick"), rail.save("shirt")
    lead, at = Actor("Leopold", "lead"), rail.shop.here()
    assert agrees(rail) == 2
    owner = save_consignor(rail.shop.records, lead, "", "Tobiah Venn", at)
    bring_items(rail.shop, lead, owner, [mine], at, Decimal("0.5"))
    assert agrees(rail) == 1
    agree_share(rail.shop, lead, owner, Decimal("0.9"), at, mine)
    assert agrees(rail) == 1
    call_label(rail.shop.records, lead, "Ombrick", "Ombrick House", at)
    assert agrees(rail) == 1
    assert {line.number for line in index_of(rail.shop, rail.day).lines.values()} == {mine, other}


def test_a_sale_asks_no_label_of_the_others_and_one_renamed_beside_it_is_not_missed(
    app: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Labels and shares of all on hand are read anew only where one of them may have changed."""
    rail = RailShop(app, monkeypatch)
    sold, other = rail.save("jacket"), rail.save("shirt", label="Ombrick")
    assert agrees(rail) == 2

    def asked() -> int:
        with counted(rail.shop.records) as found:
            index_of(rail.shop, rail.day)
        return sum("LEFT OUTER JOIN brought" in one for one in found.statements)

    day = rail.day.isoformat()
    fields = {"what": "sold", "amount": "20", "day": day, "payment": "cash"}
    assert rail.post(f"/ledger/item/{sold}", **fields).status_code == 303
    assert asked() == 0
    newer = rail.save("dress", label="Ombrick")
    assert asked() == 0
    call_label(rail.shop.records, Actor("L", "lead"), "Ombrick", "Ombrick House", rail.shop.here())
    assert asked() == 1
    lines = index_of(rail.shop, rail.day).lines.values()
    assert {line.number: line.label for line in lines} == {
        other: "Ombrick House",
        newer: "Ombrick House",
    }
