"""The tables of hazards and look-alikes through every door, as a careless sorter would use it.

Bench, device and file each say the same of an intake; then every way to a ticket or a sale is tried
on what was saved. A hazard gets nowhere, and of the look-alikes all but three go out: else a shop
that refuses everything would pass.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass, field
from typing import Any

import pytest
from api_shop import V1, token_of
from bench_forms import new_form
from flask import Flask
from flask.testing import FlaskClient
from safety_tables import HARMLESS, HAZARDS, MOST_HELD, inputs_of
from sent_files import items_from_bytes

from resale.services.actor import Actor
from resale.services.items.rack_rows import HEADING, RackRows
from resale.services.ledger.write_event import write_event
from resale.services.on_hand.lines import RailLine, rail_of
from resale.services.rail.price_by_hand import write_ticket
from resale.services.rail.put_out import put_out
from resale.services.shop import Shop
from resale.services.standing.desk import desk_of
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.transitions import LedgerError
from resale.web import create_app

SORTER = Actor("Sunniva", "sorter")
LEADS_TO_A_BUYER = ("ticketed", "put_out", "sold")
DOORS = ("bench", "device")
Inputs = dict[str, Any]
# In the fast run each door gets every seventh intake; the long one sends all of them by each.
SPREAD = pytest.param(7, id="spread")
WHOLE = pytest.param(1, id="whole", marks=pytest.mark.long)


@dataclass
class Doors:
    """A shop with everything of both tables, and what each door said of it."""

    app: Flask
    client: FlaskClient
    headers: dict[str, str]
    tokens: dict[str, dict[str, str]] = field(default_factory=dict)

    @property
    def shop(self) -> Shop:
        found: Shop = self.app.extensions["resale"]
        return found

    def by_bench(self, inputs: Inputs, key: str) -> str:
        kind = inputs["kind"]
        if kind not in self.tokens:
            self.tokens[kind] = new_form(self.client)
        data = {**self.tokens[kind], "key": key, "size": inputs["size"], "note": inputs["note"]}
        data |= {f"s-{name}": answer for name, answer in inputs["choices"].items()}
        data |= {f"k-{name}": answer for name, answer in inputs["looks"].items()}
        data |= {f"m-{name}": text for name, text in inputs["typed"].items()}
        answer = self.client.post(f"/bench/{kind}/save", data=data)
        assert answer.status_code == 303, answer.text
        return answer.location.split("=")[-1]

    def by_device(self, inputs: Inputs, key: str) -> str:
        answer = self.client.post(
            f"{V1}/items", json={**sent(inputs), "key": key}, headers=self.headers
        )
        assert answer.status_code == 201, answer.text
        return str(answer.json["number"])

    def told(self, many: list[Inputs]) -> list[bool]:
        """Whether a device that only asks is told that each is ready."""
        body = {"items": [sent(one) for one in many]}
        answer = self.client.post(f"{V1}/values", json=body, headers=self.headers)
        values = [one["value"] for one in answer.json["results"]]
        return [not one["holds"] and not one["look_first"] for one in values]

    def filed(self, many: list[Inputs]) -> list[bool]:
        """Whether a valued file gives each a ticket."""
        columns = sorted({name for one in many for name in cells(one)})
        text = io.StringIO()
        table = csv.DictWriter(text, columns, restval="")
        table.writeheader()
        table.writerows(cells(one) for one in many)
        file = items_from_bytes(text.getvalue().encode(), "rack.csv", self.shop.book)
        assert not file.problems
        desk = desk_of(self.shop, self.shop.here().date())
        lines = [
            dict(zip(HEADING, row, strict=True))
            for row in RackRows(desk).rows(file, slice(0, None))
        ]
        for line in lines:
            waits = bool(line["holds"] or line["look_first"])
            assert not (waits and line["ticket"] and line["route"] == "Put out"), line
        return [not one["holds"] and not one["look_first"] for one in lines]

    def lines(self) -> dict[str, RailLine]:
        return rail_of(self.shop, self.shop.here().date()).numbered()

    def goes_out(self, number: str, line: RailLine) -> list[str]:
        """Which ways to a buyer let it through; one after another, as each would change it."""
        at, shop = self.shop.here(), self.shop
        ways = {
            "rail": lambda: put_out(shop, SORTER, [line], f"out {number}", at),
            "ticket": lambda: write_ticket(shop, SORTER, line, 900, f"ticket {number}", at),
        }
        for what in LEADS_TO_A_BUYER:
            new = NewEvent(number, what, at.date(), f"{what} {number}", 900)
            ways[what] = lambda new=new: write_event(shop, SORTER, new, at)
        through = []
        for name, way in ways.items():
            try:
                way()
            except LedgerError:
                continue
            through.append(name)
        return through


def sent(inputs: Inputs) -> dict[str, Any]:
    readings = {**inputs["choices"], **inputs["typed"]}
    return {k: inputs[k] for k in ("kind", "size", "note", "looks")} | {"readings": readings}


def cells(inputs: Inputs) -> dict[str, str]:
    line = {k: inputs[k] for k in ("kind", "size", "note")}
    return {**line, **inputs["choices"], **inputs["typed"], **inputs["looks"]}


@pytest.fixture(scope="module")
def doors(tmp_path_factory: pytest.TempPathFactory) -> Doors:
    app = create_app(tmp_path_factory.mktemp("doors"), RATELIMIT_ENABLED=False)
    headers = {"Authorization": f"Bearer {token_of(app, 'Till')}"}
    return Doors(app, app.test_client(), headers)


def saved(doors: Doors, many: list[Inputs], every: int, name: str) -> dict[str, int]:
    """Save every so many intakes by each door: numbers, with the place of the intake."""
    numbers = {}
    for place, inputs in enumerate(many):
        for turn, door in enumerate(DOORS):
            if (place - 2 * turn) % every == 0:
                save = doors.by_bench if door == "bench" else doors.by_device
                numbers[save(inputs, f"{name}-{every}-{door}-{place:04d}-0123456789")] = place
    return numbers


def test_asked_by_a_device_or_in_a_file_no_hazard_is_ready(doors: Doors) -> None:
    many = [inputs_of(row) for row in HAZARDS]
    for said in (doors.told(many), doors.filed(many)):
        assert len(said) == len(HAZARDS)
        assert [row["text"] for row, ready in zip(HAZARDS, said, strict=True) if ready] == []


def test_asked_by_a_device_or_in_a_file_at_most_three_look_alikes_wait(doors: Doors) -> None:
    many = [inputs_of(row, asked_one_by_one=True) for row in HARMLESS]
    told, filed = doors.told(many), doors.filed(many)
    assert told == filed
    waiting = [row["text"] for row, ready in zip(HARMLESS, told, strict=True) if not ready]
    assert len(waiting) <= MOST_HELD, waiting


@pytest.mark.parametrize("every", [SPREAD, WHOLE])
def test_no_hazard_that_was_saved_goes_to_a_buyer_by_any_way(doors: Doors, every: int) -> None:
    numbers = saved(doors, [inputs_of(row) for row in HAZARDS], every, "hazard")
    lines = doors.lines()
    through = {
        HAZARDS[place]["text"]: ways
        for number, place in numbers.items()
        if (ways := doors.goes_out(number, lines[number]))
    }
    assert through == {}
    assert {lines[number].standing for number in numbers} == {"held"}
    pick = list(numbers)
    token = doors.tokens["jacket"]["csrf_token"]
    for path in ("/rail/out", "/rail/reprice"):
        form = {"csrf_token": token, "key": f"{path} {every} all of them", "pick": pick}
        doors.client.post(path, data=form)
    printed = doors.client.get("/tickets/print", query_string={"pick": pick})
    assert printed.status_code == 422 and printed.mimetype != "application/pdf"
    after = doors.lines()
    assert all(after[number].standing == "held" and not after[number].written for number in pick)


@pytest.mark.parametrize("every", [SPREAD, WHOLE])
def test_nearly_every_look_alike_that_was_saved_goes_out(doors: Doors, every: int) -> None:
    many = [inputs_of(row, asked_one_by_one=True) for row in HARMLESS]
    numbers = saved(doors, many, every, "harmless")
    lines = doors.lines()
    waiting = {HARMLESS[p]["text"] for number, p in numbers.items() if lines[number].waits}
    assert len(waiting) <= MOST_HELD, waiting
    ready = [lines[number] for number in numbers if not lines[number].waits]
    shop = doors.shop
    assert put_out(shop, SORTER, ready, f"out {every}", shop.here()) == len(ready)
