"""Step 0014 of the records: consignors and what they brought get room for agreed shares."""

from __future__ import annotations

import pytest
from alembic import command
from migrating import go
from sqlalchemy import inspect, text
from sqlalchemy.exc import DatabaseError

AT = "2026-03-01 12:00:00.000000"
ITEM = (
    "INSERT INTO item (id, number, client_key, kind, label, size, note, made_at, label_written)"
    " VALUES (7, 'Q-00007', 'key-7', 'shirt', '', 'M', '', '{at}', '')"
)
NEW = {
    "account_entry",
    "posting",
    "statement",
    "statement_name",
    "stated_posting",
    "closed_day",
}
ENTRY = (
    "INSERT INTO account_entry (id, what, day, about_day, note, by_whom, client_key, made_at)"
    " VALUES (1, 'payout', '2026-03-01', '2026-03-01', '', '{by}', '{key}', '{at}')"
)


@pytest.fixture
def before(place):
    """Records as the step before left them, with a consignor and what they brought."""
    engine = place.bare()
    go(engine, command.upgrade, "0013")
    with engine.execution_options(writes=True).begin() as one:
        one.execute(text(ITEM.format(at=AT)))
        one.execute(text(f"INSERT INTO consignor VALUES (3, 'C-3', 'Ann', '{AT}')"))  # noqa: S608
        one.execute(text(f"INSERT INTO brought VALUES (7, 3, '{AT}')"))  # noqa: S608
    return engine


def test_who_brought_what_is_kept_up_and_down_and_no_share_is_made_up(before):
    for order, step, columns in (
        (command.upgrade, "0014", "number, name, share"),
        (command.downgrade, "0013", "number, name"),
        (command.upgrade, "0014", "number, name, share"),
    ):
        go(before, order, step)
        there = set(inspect(before).get_table_names())
        assert (there >= NEW) == (step == "0014") and (step == "0014" or not there & NEW)
        with before.connect() as one:
            row = tuple(one.execute(text(f"SELECT {columns} FROM consignor")).one())  # noqa: S608
            assert row == ("C-3", "Ann", None)[: len(row)]
            assert one.scalar(text("SELECT consignor_id FROM brought WHERE item_id = 7")) == 3


def test_an_entry_names_who_wrote_it_and_is_never_changed(before):
    go(before, command.upgrade, "0014")
    wrong = (
        (ENTRY.format(by=" ", key="a", at=AT), "needs the name of who wrote it"),
        ("UPDATE account_entry SET note = 'x'", "never changes"),
        ("DELETE FROM account_entry", "never goes"),
    )
    with before.execution_options(writes=True).begin() as one:
        one.execute(text(ENTRY.format(by="Ann", key="b", at=AT).replace("(1,", "(2,")))
    for order, said in wrong:
        with (
            pytest.raises(DatabaseError, match=said),
            before.execution_options(writes=True).begin() as one,
        ):
            one.execute(text(order))
