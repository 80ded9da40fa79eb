"""Whatever can hold an item holds it on every way in, and the same holds come out.

Every rule of the file of holds, every look, and every gate of the rule book is walked through by
itself: a rule that is added is tried without a line here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import pytest
from api_shop import V1, token_of
from flask import Flask
from sent_files import items_from_bytes

from resale.garments.rulebook.rule_book import Kind, RuleBook, load_rule_book
from resale.safety.holds import Hold, shipped_holds
from resale.safety.raising import BY_THE_BOOK, holds_found
from resale.services.actor import Actor
from resale.services.items.entry import entry_of
from resale.services.items.rack_rows import HEADING, RackRows
from resale.services.items.save_item import save_item
from resale.services.ledger.write_event import write_event
from resale.services.on_hand.lines import rail_of
from resale.services.rail.put_out import put_out
from resale.services.rail.rail_events import RailFormError
from resale.services.shop import Shop
from resale.services.standing.desk import desk_of
from resale.services.standing.fresh import look_at
from resale.services.standing.saved import saved_standings
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.hold_rows import STOPPED, HeldError
from resale.storage.ledger.holds import open_holds, refuse_if_held
from resale.web import create_app

BOOK = load_rule_book()
SORTER = Actor("Sunniva", "sorter")
PARTS = "contains non-textile parts of animal origin"


@dataclass(frozen=True)
class Way:
    """One answer, or the words of a label, that holds an item of a kind."""

    kind: str
    signal: str
    said: str
    is_label: bool = False

    @property
    def name(self) -> str:
        return f"{self.kind}-{self.signal}-{self.said}".replace(" ", "_")


def ways_by_rule(hold: Hold, book: RuleBook) -> Iterator[Way]:
    """Every answer that a rule names, on the first kind that can give it."""
    for rule in hold.raised_by:
        kind = next((k for k in book.kinds.values() if rule.signal in k.by_id), None)
        options = kind.by_id[rule.signal].option_ids if kind else ()
        yield from (Way(kind.id, rule.signal, one) for one in options if rule.meets(one))


def ways_by_label(hold: Hold) -> Iterator[Way]:
    labels = [f"100% {fibre.replace('_', ' ')}" for fibre in hold.fibres]
    labels += [f"100% cotton, {PARTS}"] if hold.animal_parts else []
    for label in labels:
        if hold.id in holds_found({"choices": {}, "typed": {"fibre_shell": label}}):
            yield Way("jacket", "fibre_shell", label, True)


def ways_by_gate(book: RuleBook) -> Iterator[Way]:
    """Every gate that holds, on the first kind that has it: a shared sign is one and the same."""
    walked = set()
    for kind in book.kinds.values():
        for signal in kind.signals:
            for option in signal.options:
                held = option.gate and option.gate.route == "hold"
                if held and (signal.id, option.id) not in walked:
                    walked.add((signal.id, option.id))
                    yield Way(kind.id, signal.id, option.id)


def ways_of(book: RuleBook) -> Iterator[Way]:
    for hold in shipped_holds().values():
        yield from ways_by_rule(hold, book)
        yield from ways_by_label(hold)
    yield from ways_by_gate(book)


WAYS = sorted(set(ways_of(BOOK)), key=lambda way: way.name)


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Flask:
    return create_app(tmp_path_factory.mktemp("held"), RATELIMIT_ENABLED=False)


@pytest.fixture(scope="module")
def token(app: Flask) -> str:
    return token_of(app, "Till")


def shop_of(app: Flask) -> Shop:
    found: Shop = app.extensions["resale"]
    return found


def asked_for(kind: Kind, signal: str) -> dict[str, str]:
    """What has to be answered before a sign is asked at all."""
    only_if = kind.by_id[signal].only_if
    return {only_if.signal: only_if.options[0]} if only_if else {}


def test_there_is_something_to_walk_through() -> None:
    by_rule = {way.signal for way in WAYS} | {way.said for way in WAYS}
    assert {"mould", "sizes_differ", "fibre_shell"} <= by_rule
    raised = set()
    for way in WAYS:
        key = "typed" if way.is_label else "choices"
        raised |= set(holds_found({key: {way.signal: way.said}}, "hold"))
    by_rules = {hold.id for hold in shipped_holds().values() if hold.raised_by}
    reachable = {
        hold.id
        for hold in shipped_holds().values()
        if any(rule.signal in kind.by_id for rule in hold.raised_by for kind in BOOK.kinds.values())
    }
    assert reachable <= raised and reachable <= by_rules


@pytest.mark.parametrize("way", WAYS, ids=lambda way: way.name)
def test_what_holds_holds_on_every_way_in(app: Flask, token: str, way: Way) -> None:
    shop = shop_of(app)
    kind, at = shop.kind(way.kind), shop.here()
    before = asked_for(kind, way.signal)
    picked = before if way.is_label else {**before, way.signal: way.said}
    typed = {way.signal: way.said} if way.is_label else {}

    # The Bench's form, before anything is saved.
    entry = entry_of(kind, picked, typed)
    bench = look_at(shop, entry, at.date()).standing
    held = [hold.id for hold in bench.holds]
    assert held and bench.route == "hold" and bench.ticket is None

    # A device that only asks, and one that saves.
    client, headers = app.test_client(), {"Authorization": f"Bearer {token}"}
    sent = {"kind": kind.id, "readings": {**picked, **typed}}
    told = client.post(f"{V1}/value", json=sent, headers=headers).json
    assert ([one["id"] for one in told["holds"]], told["route"]) == (held, "hold")
    assert told["ticket_minor"] is None
    saved = client.post(f"{V1}/items", json={**sent, "key": way.name[:60]}, headers=headers).json
    assert (sorted(saved["holds"]), saved["ticket_minor"]) == (sorted(held), None)
    number = saved["number"]
    life = client.get(f"{V1}/items/{number}", headers=headers).json
    assert [one["id"] for one in life["holds"]] == held and life["ticket_minor"] is None

    assert file_says(shop, kind, {**picked, **typed}) == ("Hold", "", True)

    # A save on the screen keeps the same holds.
    again = save_item(shop, SORTER, entry, at)
    assert sorted(again.holds) == sorted(held)
    opened = open_holds(shop.records, [again.number])[again.number]
    assert [one.rule.id for one in opened] == held

    for one in (number, again.number):
        nothing_goes_out(shop, one, held)


def file_says(shop: Shop, kind: Kind, readings: dict[str, str]) -> tuple[str, str, bool]:
    """Route and ticket of the only line of a file, and whether it names what holds."""
    text = f"kind,{','.join(readings)}\n{kind.id},{','.join(map(quoted, readings.values()))}\n"
    file = items_from_bytes(text.encode(), "items.csv", shop.book)
    (row,) = RackRows(desk_of(shop, shop.here().date())).rows(file, slice(0, 1))
    line = dict(zip(HEADING, row, strict=True))
    names = [hold.name for hold in shipped_holds().values()]
    named = any(name in line["reason"] for name in [*names, BY_THE_BOOK.name])
    return line["route"], line["ticket"], named


def quoted(cell: str) -> str:
    return f'"{cell}"'


def nothing_goes_out(shop: Shop, number: str, held: list[str]) -> None:
    """The Rail, its tickets and the till all refuse it, for the same holds."""
    at = shop.here()
    line = rail_of(shop, at.date()).numbered()[number]
    standing = saved_standings(shop, [number], at.date())[number]
    assert line.standing == "held" and [hold.id for hold in standing.holds] == held
    with pytest.raises(HeldError):
        refuse_if_held(shop.records, [number])
    with pytest.raises(RailFormError):
        put_out(shop, SORTER, [line], f"out {number}", at)
    for what in sorted(STOPPED):
        with pytest.raises(HeldError):
            write_event(shop, SORTER, NewEvent(number, what, at.date(), what + number), at)
