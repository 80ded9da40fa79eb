"""The store: numbers, keys, history, and steps of the records."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest
from a_save import AT, a_save
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from servers import Place
from sqlalchemy import Engine, inspect, text
from sqlalchemy.exc import DatabaseError
from writing import save_item

from resale.storage.db.database import migration_config, open_records
from resale.storage.db.tables import Base
from resale.storage.items.item_pages import items_page
from resale.storage.items.store import NotSavedError, item_numbered, items_count


def test_what_is_saved_comes_back_as_it_was(records: Engine) -> None:
    new = a_save()
    number = save_item(records, new, AT)
    item = item_numbered(records, number)
    assert (item.number, item.label, item.size, item.made_at) == ("Q-00001", "Harrowmere", "52", AT)
    assert item.newest.valued == new.valued
    assert item.newest.inputs == new.inputs


def test_the_same_key_and_inputs_save_once(records: Engine) -> None:
    assert save_item(records, a_save(), AT) == save_item(records, a_save(), AT)
    assert items_count(records) == 1
    assert len(item_numbered(records, "Q-00001").valuations) == 1


def test_two_desks_saving_at_once_get_numbers_of_their_own(records: Engine) -> None:
    numbers: list[str] = []

    def desk(name: int) -> None:
        numbers.extend(save_item(records, a_save(f"desk-{name}-{i}"), AT) for i in range(5))

    desks = [threading.Thread(target=desk, args=(name,)) for name in range(3)]
    for one in desks:
        one.start()
    for one in desks:
        one.join()
    assert sorted(numbers) == [f"Q-{n:05d}" for n in range(1, 16)]


def test_numbers_go_on_after_an_item_that_brought_its_own(records: Engine) -> None:
    assert save_item(records, a_save("a", wanted=3001), AT) == "Q-03001"
    assert save_item(records, a_save("b"), AT) == "Q-03002"


def test_a_stored_valuation_can_be_neither_changed_nor_removed(records: Engine) -> None:
    save_item(records, a_save(), AT)
    for order in ("UPDATE valuation SET estimate = 1", "DELETE FROM valuation"):
        with pytest.raises(DatabaseError, match="a stored valuation"), records.begin() as open_one:
            open_one.execute(text(order))


def test_an_unknown_number_is_said(records: Engine) -> None:
    with pytest.raises(NotSavedError, match="no item 'Q-4' is saved"):
        item_numbered(records, "Q-4")


def test_search_takes_signs_of_the_database_as_plain_text(records: Engine) -> None:
    save_item(records, a_save("a", note="100% wool"), AT)
    save_item(records, a_save("b", note="plain"), AT)
    assert items_page(records, "%").total == 1
    assert items_page(records, "_").total == 0


def test_every_connection_writes_through_to_the_disk(tmp_path: Path) -> None:
    with open_records(tmp_path).connect() as open_one:
        assert open_one.execute(text("PRAGMA journal_mode")).scalar() == "wal"
        assert open_one.execute(text("PRAGMA synchronous")).scalar() == 2
        assert open_one.execute(text("PRAGMA foreign_keys")).scalar() == 1


def test_the_last_step_of_the_records_is_what_the_tables_say(records: Engine) -> None:
    with records.connect() as open_one:
        assert compare_metadata(MigrationContext.configure(open_one), Base.metadata) == []


def test_every_step_can_be_taken_up_and_down(place: Place) -> None:
    engine = place.bare()
    config = migration_config()
    for step, tables in (("head", {"item", "valuation"}), ("base", set()), ("head", {"item"})):
        with engine.execution_options(writes=True).begin() as open_one:
            config.attributes["connection"] = open_one
            (command.downgrade if step == "base" else command.upgrade)(config, step)
        assert tables <= set(inspect(engine).get_table_names())
        if not tables:
            assert set(inspect(engine).get_table_names()) == {"alembic_version"}


def test_opening_again_keeps_what_was_saved(place: Place) -> None:
    first = place.open()
    save_item(first, a_save(), AT)
    first.dispose()
    assert item_numbered(place.open(), "q-00001").label == "Harrowmere"
