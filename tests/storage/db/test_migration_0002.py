"""Step 0002 of the records: items saved before it get the events that they stand for."""

from __future__ import annotations

import json
import time
from datetime import date, timedelta

import pytest
from a_save import AT, a_save
from alembic import command
from migrating import go
from sqlalchemy import inspect, text
from writing import save_item

from resale.storage.db.migrations.never_changed import functions_gone, triggers
from resale.storage.ledger.ledger import item_life

ITEM = "INSERT INTO item VALUES (7, 'Q-00007', 'key-7', 'shirt', '', 'M', '', '{at}')"
VALUATION = (
    "INSERT INTO valuation VALUES ({id}, 7, 'key-7', 'digest-{id}', '{{}}', '{{}}', '1', 'f', 'm',"
    " 'EUR', {estimate}, 1, 2, 1300, 'sound', 'put_out', '{at}')"
)


@pytest.fixture(autouse=True)
def _shop_in_universal_time(monkeypatch):
    """Old items are dated by the day where the machine stands; here that is a known place."""
    if hasattr(time, "tzset"):
        monkeypatch.setenv("TZ", "UTC")
        time.tzset()
    yield
    monkeypatch.undo()
    if hasattr(time, "tzset"):
        time.tzset()


@pytest.fixture
def before(place):
    """Records as the step before left them, with an item that was valued twice."""
    engine = place.bare()
    go(engine, command.upgrade, "0001")
    with engine.execution_options(writes=True).begin() as one:
        one.execute(text(ITEM.format(at="2026-03-01 12:00:00.000000")))
        one.execute(text(VALUATION.format(id=1, estimate=1234, at="2026-03-01 12:00:00.000000")))
        one.execute(text(VALUATION.format(id=2, estimate=1250, at="2026-03-09 12:59:59.123456")))
    return engine


def test_items_that_were_saved_before_are_taken_in_and_valued(before):
    go(before, command.upgrade, "head")
    life = item_life(before, "Q-00007")
    assert [(event.what, event.day, event.amount) for event in life.written] == [
        ("taken_in", date(2026, 3, 1), None),
        ("valued", date(2026, 3, 1), 1234),
        ("valued", date(2026, 3, 9), 1250),
    ]
    assert life.written[2].data == {"valuation": 2, "ticket": 1300, "model": "m"}
    assert life.state.where == "back_room"


def test_down_and_up_again_loses_no_item(before):
    go(before, command.upgrade, "0002")
    go(before, command.downgrade, "0001")
    assert set(inspect(before).get_table_names()) == {"alembic_version", "item", "valuation"}
    with before.connect() as one:
        assert one.execute(text("SELECT count(*) FROM valuation")).scalar() == 2
    go(before, command.upgrade, "head")
    assert len(item_life(before, "Q-00007").written) == 3


def test_a_save_on_the_bench_writes_the_events_that_the_step_would_have_written(records):
    """What a save writes today and what the step wrote for old rows must be the same, keys too.

    Only what a valuation found to hold is said by a save alone: the step knew of no holds.
    """
    save_item(records, a_save(), AT)
    with records.connect() as one:
        today = one.execute(text("SELECT what, day, amount, data, client_key FROM event")).all()
    go(records, command.downgrade, "0001")
    go(records, command.upgrade, "0002")
    with records.connect() as one:
        stepped = one.execute(text("SELECT what, day, amount, data, client_key FROM event")).all()
    assert [(row.what, row.day, row.amount, row.client_key) for row in today] == [
        (row.what, row.day, row.amount, row.client_key) for row in stepped
    ]
    # One database gives plain text, the other what the text says.
    said, once = (
        json.loads(rows[1].data) if isinstance(rows[1].data, str) else rows[1].data
        for rows in (today, stepped)
    )
    assert said.pop("holds") == {}
    assert said == once
    assert [row.what for row in today] == ["taken_in", "valued"]


def test_saving_twice_writes_its_events_once_and_valuing_again_takes_nothing_in_again(records):
    number = save_item(records, a_save(), AT)
    save_item(records, a_save(), AT)
    assert len(item_life(records, number).written) == 2
    save_item(records, a_save("key-2", number=number), AT + timedelta(days=2))
    written = item_life(records, number).written
    assert [event.what for event in written] == ["taken_in", "valued", "valued"]
    assert written[2].day == AT.date() + timedelta(days=2)


def test_both_databases_are_told_to_refuse_changes_and_removals():
    lite, large = (triggers(dialect, "event", "an event") for dialect in ("sqlite", "postgresql"))
    assert [text.split()[3:5] for text in lite] == [["BEFORE", "UPDATE"], ["BEFORE", "DELETE"]]
    assert [text.split()[1] for text in large] == ["FUNCTION", "TRIGGER"] * 2 + ["TRIGGER"]
    assert all("an event never" in text for text in [*lite, large[0], large[2]])
    assert functions_gone("sqlite", "event") == []
    assert len(functions_gone("postgresql", "event")) == 2
