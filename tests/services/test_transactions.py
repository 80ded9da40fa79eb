"""A use case is one transaction, with its line in the audit log; a fault takes all of it back."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from counted import counted
from looked_over import answers

from resale.config.settings import Settings
from resale.services.actor import Actor, NobodyError
from resale.services.holds.clear_hold import clear_hold
from resale.services.holds.raise_by_hand import raise_hold
from resale.services.items.entry import entry_of
from resale.services.items.save_item import save_item
from resale.services.ledger.sell import sell
from resale.services.ledger.write_event import write_event
from resale.services.on_hand.lines import rail_of
from resale.services.rail.price_by_hand import write_ticket
from resale.services.rail.put_out import put_out
from resale.services.shop import Shop, open_shop
from resale.services.standing.desk import desk_of
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.hold_rows import HandRaised, HeldError
from resale.storage.ledger.ledger import item_life
from resale.storage.ledger.write_holds import Clearing, HoldError
from resale.storage.people import audit_log
from resale.storage.people.audit_log import audit_entries

SORTER, LEAD = Actor("Sunniva", "sorter"), Actor("Leopold", "lead")


@pytest.fixture
def shop(tmp_path: Path, empty_records: Path) -> Shop:
    (tmp_path / empty_records.name).write_bytes(empty_records.read_bytes())
    return open_shop(Settings(data_folder=tmp_path, opening_prices_hold=True))


def saved(shop: Shop, key: str = "a" * 16, **picked: str) -> str:
    signs, looks = answers("jacket", picked)
    entry = entry_of(shop.kind("jacket"), {**signs, **picked}, {}, key=key, looks=looks)
    return save_item(shop, SORTER, entry, shop.here()).number


def event(shop: Shop, number: str, what: str, key: str, amount: int | None = None) -> NewEvent:
    return NewEvent(number, what, shop.here().date(), key, amount)


def told(shop: Shop) -> list[tuple[str, str, str]]:
    return [(one.by_whom, one.what, one.about) for one in reversed(audit_entries(shop.records))]


def test_a_save_is_one_transaction_with_all_that_it_writes(shop: Shop) -> None:
    # How fast things sell is learned once a day, by whoever asks first.
    desk_of(shop, shop.here().date())
    with counted(shop.records) as asked:
        number = saved(shop, mould="musty")
    assert (asked.begun, asked.writing) == (1, 1)
    life = item_life(shop.records, number)
    assert [(one.what, one.by) for one in life.written] == [
        ("taken_in", "Sunniva"),
        ("valued", "Sunniva"),
    ]
    assert told(shop) == [("Sunniva", "saved an item", number)]


def test_a_sale_writes_once_and_names_who_sold(shop: Shop) -> None:
    number = saved(shop)
    with counted(shop.records) as asked:
        sell(shop, LEAD, event(shop, number, "sold", "k", 900), shop.here())
    assert (asked.begun, asked.writing) == (1, 1)
    assert told(shop)[-1] == ("Leopold", "sold an item", number)
    assert item_life(shop.records, number).written[-1].by == "Leopold"


def test_what_is_sent_twice_is_written_once_and_told_once(shop: Shop) -> None:
    number = saved(shop)
    assert saved(shop) == number
    sale = event(shop, number, "sold", "k", 900)
    first = sell(shop, SORTER, sale, shop.here())
    assert sell(shop, LEAD, sale, shop.here()) == first
    assert [what for _, what, _ in told(shop)] == ["saved an item", "sold an item"]


def test_a_fault_in_the_line_of_the_log_takes_the_sale_back(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    number = saved(shop)

    def broken(*_: object, **__: object) -> None:
        raise OSError("the disk is full")

    monkeypatch.setattr("resale.services.transaction.add_audit_entry", broken)
    with pytest.raises(OSError, match="disk"):
        sell(shop, SORTER, event(shop, number, "sold", "k", 900), shop.here())
    assert item_life(shop.records, number).state.where == "back_room"
    assert audit_log.audit_entries(shop.records)[0].what == "saved an item"


def test_the_rail_writes_ticket_and_way_out_together(shop: Shop) -> None:
    number, at = saved(shop), shop.here()
    line = rail_of(shop, at.date()).numbered()[number]
    with counted(shop.records) as asked:
        put_out(shop, LEAD, [line], "k", at)
    assert (asked.begun, asked.writing) == (1, 1)
    assert told(shop)[-1] == ("Leopold", "put an item out", number)
    line = rail_of(shop, at.date()).numbered()[number]
    write_ticket(shop, SORTER, line, line.price - 100, "k2", at, "a stain")
    assert told(shop)[-1] == ("Sunniva", "marked an item down", number)


@pytest.mark.parametrize("name", ["", "   "])
def test_nobody_does_nothing(name: str) -> None:
    with pytest.raises(NobodyError, match="who does this"):
        Actor(name, "device")


def test_only_a_lead_clears_a_hold_whatever_the_door(shop: Shop) -> None:
    number, at = saved(shop), shop.here()
    assert raise_hold(shop, SORTER, number, HandRaised("sharps", "a needle"), "k", at)
    assert not raise_hold(shop, SORTER, number, HandRaised("sharps", ""), "k2", at)
    said = Clearing("found none", mistake=True)
    for actor in (SORTER, Actor("Till", "device")):
        with pytest.raises(HoldError, match="only a lead"):
            clear_hold(shop, actor, number, "sharps", said, "k3", at)
    with pytest.raises(HeldError):
        write_event(shop, SORTER, event(shop, number, "sold", "k4", 900), at)
    clear_hold(shop, LEAD, number, "sharps", said, "k3", at)
    write_event(shop, SORTER, event(shop, number, "sold", "k4", 900), at)
    assert [what for _, what, _ in told(shop)] == [
        "saved an item",
        "held an item",
        "cleared a hold",
        "sold an item",
    ]


def test_a_lead_s_word_opens_no_sale_of_a_held_item(shop: Shop) -> None:
    """What a lead may do knowingly with a held item is to pass it on, and nothing else."""
    number = saved(shop, mould="musty")
    for what in ("sold", "ticketed", "put_out"):
        knowing = replace(event(shop, number, what, what, 900), lead_knows=True)
        with pytest.raises(HeldError):
            write_event(shop, LEAD, knowing, shop.here())
    gone = replace(event(shop, number, "passed_on", "gone"), lead_knows=True)
    assert write_event(shop, LEAD, gone, shop.here()).where == "gone"
