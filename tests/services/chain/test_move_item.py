"""Things that move between the shops of a chain: once, with their life, never for sale twice."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from camera import shot
from looked_over import answers
from sqlalchemy import event

from resale.config.settings import Settings
from resale.garments.rulebook.unsorted import UNSORTED, unsorted_kind
from resale.services.actor import Actor
from resale.services.chain import move_item as moving
from resale.services.chain.move_item import Moved, move_item
from resale.services.chain.parcel import NotMovedError, on_the_way, parcel_of
from resale.services.items.by_hand import ByHand, by_hand_stored
from resale.services.items.entry import Entry, entry_of
from resale.services.items.save_item import save_item
from resale.services.ledger.life_before import life_before
from resale.services.ledger.write_event import write_event
from resale.services.on_hand.rail_index import index_of
from resale.services.photos.add_photo import add_photo
from resale.services.settlement.consigned import bring_items
from resale.services.shop import Shop, open_shop
from resale.services.standing.saved import saved_standings
from resale.storage.items.store import item_numbered
from resale.storage.ledger.consignors import save_consignor
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.hold_rows import HeldError
from resale.storage.ledger.holds import open_holds
from resale.storage.ledger.ledger import HERE, item_life
from resale.storage.ledger.price_periods import stretches
from resale.storage.ledger.transitions import LedgerError
from resale.storage.people.audit_log import audit_entries
from resale.storage.people.invented_mark import mark_invented
from resale.storage.photos.photos import photos_of

AT = datetime(2026, 6, 30, 12, tzinfo=UTC)
WHO = Actor("Ottoline", "owner")
CUT = {"cuff_buttons": "working", "pilling": "grade_5"}


@pytest.fixture
def two(tmp_path: Path, empty_records: Path) -> tuple[Shop, Shop]:
    """Harbour and Mill, each with records of its own."""
    return (
        _shop(tmp_path / "harbour", empty_records, "Harbour"),
        _shop(tmp_path / "mill", empty_records, "Mill"),
    )


def _shop(folder: Path, empty: Path, name: str, **settings: object) -> Shop:
    folder.mkdir()
    shutil.copy(empty, folder)
    chosen = {"name": name, "opening_prices_hold": True, **settings}
    return open_shop(Settings(data_folder=folder, **chosen))  # type: ignore[arg-type]


def _jacket(shop: Shop, at: datetime = AT, **more: str) -> str:
    """A jacket that was looked over, valued and saved; gives its number."""
    signs, looks = answers("jacket", CUT, label="Ulmba", **more)
    kind = shop.book.kinds["jacket"]
    entry: Entry = entry_of(
        kind, {**CUT, **signs}, {}, label="Ulmba", size="52", looks=looks, **more
    )
    return save_item(shop, WHO, entry, at).number


def _happens(shop: Shop, number: str, what: str, amount: int | None, at: datetime) -> None:
    key = f"{number} {what} {at}"
    write_event(shop, WHO, NewEvent(number, what, at.date(), key, amount), at)


def _for_sale(shops: tuple[Shop, Shop]) -> int:
    """In how many places the one thing of these shops is on hand."""
    return sum(
        item_life(shop.records, number).state.where in HERE
        for shop in shops
        for number in _numbers(shop)
    )


def _numbers(shop: Shop) -> list[str]:
    with shop.records.connect() as at:
        return [row[0] for row in at.exec_driver_sql("SELECT number FROM item")]


def test_a_thing_goes_with_its_readings_ticket_photos_and_life(two: tuple[Shop, Shop]) -> None:
    harbour, mill = two
    number = _jacket(harbour, AT - timedelta(days=40))
    _happens(harbour, number, "put_out", 4200, AT - timedelta(days=30))
    _happens(harbour, number, "marked_down", 3600, AT - timedelta(days=9))
    add_photo(harbour.records, harbour.settings, WHO, number, shot(90, 60), at=AT, signal="pilling")
    moved = move_item(harbour, mill, WHO, number.lower(), AT)
    assert moved == Moved(number, "Q-00001", False)
    left, came = item_life(harbour.records, number), item_life(mill.records, "Q-00001")
    assert (left.state.where, left.held[-1].note) == ("gone", "moved to Mill")
    # In the back room, by its ticket, since the day on which the chain had it first.
    assert (came.state.where, came.state.ticket) == ("back_room", 3600)
    assert came.held[0].day == (AT - timedelta(days=40)).date()
    (ticketed,) = (one for one in came.held if one.what == "ticketed")
    assert ticketed.day == (AT - timedelta(days=9)).date()
    before, after = (item_numbered(s.records, n) for s, n in ((harbour, number), (mill, "Q-00001")))
    for said in ("choices", "picked", "label", "size", "looks", "looks_by"):
        assert after.newest.inputs[said] == before.newest.inputs[said]
    (photo,) = photos_of(mill.records, "Q-00001")
    assert photo.signal == "pilling"
    life = life_before(came)
    assert life is not None
    assert (life.shop, life.number) == ("Harbour", number)
    assert [(one.what, one.amount) for one in life.lines if one.what != "valued"] == [
        ("taken_in", None),
        ("put_out", 4200),
        ("marked_down", 3600),
    ]
    for shop, said in ((harbour, "moved an item to"), (mill, "took an item in from")):
        assert [one.by_whom for one in audit_entries(shop.records) if said in one.what] == [
            "Ottoline"
        ]


def test_the_days_elsewhere_teach_neither_shop_twice(two: tuple[Shop, Shop]) -> None:
    harbour, mill = two
    number = _jacket(harbour, AT - timedelta(days=40))
    _happens(harbour, number, "put_out", 4200, AT - timedelta(days=30))
    there = move_item(harbour, mill, WHO, number, AT).number_there
    later = AT + timedelta(days=5)
    _happens(mill, there, "put_out", 4000, later)
    _happens(mill, there, "sold", 4000, later + timedelta(days=10))
    today = (later + timedelta(days=20)).date()
    (at_harbour,) = stretches(harbour.records, today)
    (at_mill,) = stretches(mill.records, today)
    assert (at_harbour.days, at_harbour.sold) == (30, False)
    assert (at_mill.days, at_mill.sold) == (10, True)


def test_moved_there_and_back_it_tells_both(two: tuple[Shop, Shop]) -> None:
    harbour, mill = two
    number = _jacket(harbour)
    there = move_item(harbour, mill, WHO, number, AT).number_there
    home = move_item(mill, harbour, WHO, there, AT + timedelta(days=3)).number_there
    assert home == "Q-00002"
    life = life_before(item_life(harbour.records, home))
    assert life is not None
    assert [one.shop for one in life.lines if one.what == "taken_in"] == ["Harbour", "Mill"]
    assert _for_sale(two) == 1


class WentAwayError(Exception):
    """The machine died at the very moment of a commit."""


def _dies_at(shops: tuple[Shop, Shop], commit: int) -> Callable[[], None]:
    """Let the n-th commit of both shops break, from 0; gives what makes them well again."""
    met = [0]

    def breaks(connection: object) -> None:
        if connection.info.pop("wrote", None):  # type: ignore[attr-defined]
            met[0] += 1
            if met[0] == commit + 1:
                raise WentAwayError

    def wrote(connection: object, _: object, statement: str, *__: object) -> None:
        if statement.startswith(("INSERT", "UPDATE")):
            connection.info["wrote"] = True  # type: ignore[attr-defined]

    for shop in shops:
        event.listen(shop.records, "commit", breaks)
        event.listen(shop.records, "before_cursor_execute", wrote)

    def well() -> None:
        for shop in shops:
            event.remove(shop.records, "commit", breaks)
            event.remove(shop.records, "before_cursor_execute", wrote)

    return well


def test_whatever_breaks_off_it_is_never_for_sale_twice_and_arrives_once(
    two: tuple[Shop, Shop],
) -> None:
    harbour, mill = two
    for commit in range(3):
        number = _jacket(harbour)
        before = len(_numbers(mill))
        add_photo(harbour.records, harbour.settings, WHO, number, shot(90, 60), at=AT)
        well = _dies_at(two, commit)
        with pytest.raises(WentAwayError):
            move_item(harbour, mill, WHO, number, AT)
        well()
        assert _for_sale(two) <= commit + (1 if commit != 1 else 0)
        waits = [one.number for one in on_the_way(two, AT.date())]
        assert waits == ([number] if commit == 1 else [])
        moved = move_item(harbour, mill, WHO, number, AT)
        assert len(_numbers(mill)) == before + 1
        assert len(photos_of(mill.records, moved.number_there)) == 1
        assert on_the_way(two, AT.date()) == []
        # A careless hand does it once more.
        assert move_item(harbour, mill, WHO, number, AT) == moved
        assert _for_sale(two) == commit + 1


def test_what_went_is_not_taken_back_here(two: tuple[Shop, Shop]) -> None:
    harbour, mill = two
    number = _jacket(harbour)
    move_item(harbour, mill, WHO, number, AT)
    gone = item_life(harbour.records, number).held[-1]
    new = NewEvent(number, "corrected", gone.day, "back", corrects=gone.id, strikes=True)
    with pytest.raises(LedgerError, match="it went to Mill"):
        write_event(harbour, WHO, new, AT)


def test_what_a_consignor_brought_stays(two: tuple[Shop, Shop]) -> None:
    harbour, mill = two
    number = _jacket(harbour)
    save_consignor(harbour.records, "C-1", "An invented consignor", AT)
    bring_items(harbour, WHO, "C-1", [number], AT, None)
    with pytest.raises(NotMovedError, match="agreed a share with this shop"):
        move_item(harbour, mill, WHO, number, AT)
    assert item_life(harbour.records, number).state.where == "back_room"
    assert _numbers(mill) == []


def test_what_is_held_or_sold_or_unknown_there_stays(two: tuple[Shop, Shop]) -> None:
    harbour, mill = two
    held = _jacket(harbour, note="trimmed with real racoon")
    assert open_holds(harbour.records, [held])
    with pytest.raises(HeldError):
        move_item(harbour, mill, WHO, held, AT)
    sold = _jacket(harbour)
    _happens(harbour, sold, "sold", 4000, AT)
    with pytest.raises(NotMovedError, match="not in the shop any more"):
        move_item(harbour, mill, WHO, sold, AT)
    fine = _jacket(harbour)
    with pytest.raises(NotMovedError, match="it is there already"):
        move_item(harbour, harbour, WHO, fine, AT)
    small = replace(mill, book=mill.book.of(["shirt"]))
    with pytest.raises(NotMovedError, match="does not sell its kind"):
        move_item(harbour, small, WHO, fine, AT)
    assert item_life(harbour.records, fine).state.where == "back_room"
    assert _numbers(mill) == []


def test_in_another_currency_its_ticket_stays_behind(tmp_path: Path, empty_records: Path) -> None:
    harbour = _shop(tmp_path / "harbour", empty_records, "Harbour")
    mill = _shop(tmp_path / "mill", empty_records, "Mill", currency="GBP")
    number = _jacket(harbour)
    _happens(harbour, number, "put_out", 4200, AT)
    there = move_item(harbour, mill, WHO, number, AT).number_there
    life = item_life(mill.records, there)
    assert life.state.ticket is None
    before = life_before(life)
    assert before is not None
    assert [one.currency for one in before.lines if one.what == "put_out"] == ["EUR"]


def test_sent_to_two_shops_at_the_same_moment_it_goes_to_one(
    two: tuple[Shop, Shop], tmp_path: Path, empty_records: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Both looked while it was there; the second writes when it is gone."""
    harbour, mill = two
    quay = _shop(tmp_path / "quay", empty_records, "Quay")
    number = _jacket(harbour)
    seen = parcel_of(harbour, number, "Quay")
    move_item(harbour, mill, WHO, number, AT)
    monkeypatch.setattr(moving, "parcel_of", lambda *_: seen)
    with pytest.raises(LedgerError, match="cannot be passed on"):
        move_item(harbour, quay, WHO, number, AT)
    assert _numbers(quay) == []


def test_called_otherwise_in_between_a_shop_still_sends_it_once(two: tuple[Shop, Shop]) -> None:
    harbour, mill = two
    number = _jacket(harbour)
    there = move_item(harbour, mill, WHO, number, AT)
    renamed = replace(harbour, settings=harbour.settings.model_copy(update={"name": "Old Harbour"}))
    assert move_item(renamed, mill, WHO, number, AT) == there
    other = replace(mill, settings=mill.settings.model_copy(update={"name": "Mill House"}))
    assert on_the_way((renamed, other), AT.date()) == []
    assert len(_numbers(mill)) == 1


def test_two_shops_that_began_from_one_copy_send_two_things(
    two: tuple[Shop, Shop], tmp_path: Path
) -> None:
    """Their items have the same keys, and are other things all the same."""
    harbour, mill = two
    number = _jacket(harbour)
    shutil.copytree(harbour.settings.data_folder, tmp_path / "quay")
    quay = open_shop(Settings(data_folder=tmp_path / "quay", name="Quay"))
    came = [move_item(one, mill, WHO, number, AT).number_there for one in (harbour, quay)]
    assert came == ["Q-00001", "Q-00002"]


def test_what_moved_has_one_price_on_every_way(two: tuple[Shop, Shop]) -> None:
    """The ticket that it came with; what had none gets what a save at that desk would."""
    harbour, mill = two
    ticketed, bare = _jacket(harbour), _jacket(harbour)
    _happens(harbour, ticketed, "put_out", 4200, AT)
    came = [move_item(harbour, mill, WHO, one, AT).number_there for one in (ticketed, bare)]
    own = _jacket(mill)
    at = AT.date()
    said = saved_standings(mill, [*came, own], at)
    lines = {line.number: line for line in index_of(mill, at).lines.values()}
    for number in came:
        line, standing = lines[number], said[number]
        assert (line.price, line.tier) == (standing.price, lines[own].tier)
        assert standing.route == said[own].route
        assert not standing.holds
    assert said[came[0]].price == item_life(mill.records, came[0]).state.ticket == 4200
    assert said[came[1]].price == said[own].price


def test_a_thing_without_a_kind_keeps_what_it_is_and_its_price(two: tuple[Shop, Shop]) -> None:
    harbour, mill = two
    signs, looks = answers(UNSORTED, {})
    by_hand = ByHand("brass lamp", price=1800, why="seen at the market")
    entry = entry_of(unsorted_kind(), signs, {}, looks=looks, by_hand=by_hand)
    number = save_item(harbour, WHO, entry, AT).number
    there = move_item(harbour, mill, WHO, number, AT).number_there
    assert by_hand_stored(item_numbered(mill.records, there).newest.inputs) == by_hand
    assert saved_standings(mill, [there], AT.date())[there].price == 1800


def test_nothing_invented_comes_into_a_real_shop(two: tuple[Shop, Shop]) -> None:
    harbour, mill = two
    mark_invented(harbour.records, AT)
    number = _jacket(harbour)
    with pytest.raises(NotMovedError, match="one of both shops is invented"):
        move_item(harbour, mill, WHO, number, AT)
    assert _numbers(mill) == []
