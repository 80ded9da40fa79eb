"""A rule that came after an item was saved holds it everywhere, once, until a lead clears it."""

from __future__ import annotations

from pathlib import Path

import pytest
from a_save import AT, a_save
from ledger_shop import LedgerShop
from writing import clear_hold, save_item

from resale.config.settings import Settings
from resale.services.actor import Actor
from resale.services.holds.catch_up import hold_by_newer_rules
from resale.services.ledger.sell import sell
from resale.services.shop import Shop, open_shop
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.hold_rows import HeldError
from resale.storage.ledger.holds import open_holds
from resale.storage.ledger.write_holds import Clearing

LEAD = Actor("Leopold", "lead")


@pytest.fixture
def shop(tmp_path: Path, empty_records: Path) -> Shop:
    (tmp_path / empty_records.name).write_bytes(empty_records.read_bytes())
    return open_shop(Settings(data_folder=tmp_path))


def opened(shop: Shop) -> dict[str, list[str]]:
    return {
        number: [one.rule.id for one in held] for number, held in open_holds(shop.records).items()
    }


def test_what_was_saved_before_a_rule_is_held_by_it(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    mouldy = {"kind": "jacket", "choices": {"mould": "musty"}}
    with monkeypatch.context() as before:
        before.setattr("resale.storage.items.saved_rows.holds_found", lambda *_: {})
        number = save_item(shop.records, a_save(inputs=mouldy), AT)
    past = LedgerShop(shop.records).item(kind="jacket", choices={"mould": "musty"})
    assert opened(shop) == {}
    at = shop.here()
    assert hold_by_newer_rules(shop, at) == 2
    assert opened(shop) == {number: ["mould"], past: ["mould"]}
    with pytest.raises(HeldError):
        sell(shop, LEAD, NewEvent(number, "sold", at.date(), "k", 900), at)
    assert hold_by_newer_rules(shop, at) == 0


def test_what_a_lead_cleared_is_left_alone(shop: Shop) -> None:
    mouldy = {"kind": "jacket", "choices": {"mould": "musty"}}
    number = save_item(shop.records, a_save(inputs=mouldy), AT)
    said = Clearing("it was a fold", mistake=True)
    clear_hold(shop.records, number, "mould", said, by="Leopold", key="k", at=shop.here())
    assert hold_by_newer_rules(shop, shop.here()) == 0
    assert opened(shop) == {}
