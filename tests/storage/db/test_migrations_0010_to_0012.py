"""Steps 0010 to 0012 up, down and up again, with rows that were there before and rows of their own.

What a step found stays as it was; what only a step's own tables hold goes with them, and nothing
of it is left behind that would stand in the way of the next step up.
"""

from __future__ import annotations

import pytest
from alembic import command
from migrating import go
from sqlalchemy import Engine, inspect, text
from sqlalchemy.exc import DBAPIError

# The moment stands where a statement says MOMENT.
MOMENT = "'2026-03-01 12:00:00'"
BEFORE = (
    "INSERT INTO person (id, name, role, secret, made_at)"
    " VALUES (1, 'Ottoline', 'owner', '', MOMENT)",
    "INSERT INTO sitting (digest, person_id, browser, made_at, seen_at)"
    " VALUES ('whole', 1, 'a tablet', MOMENT, MOMENT)",
    "INSERT INTO device_request (client_key, digest, answer, made_at)"
    " VALUES ('sent-once', 'd', '{}', MOMENT)",
)
RULE = (
    "INSERT INTO rule_change"
    " (kind, signal, option, field, value, who, day, why, made_from, made_at) VALUES"
    " ('shirt', 'pilling', 'none', 'effect', 1.1, 'Ottoline', '2026-03-01', 'seen', 0, MOMENT)"
)
OF_THEIR_OWN = (
    "INSERT INTO shared_file (name, sha256, content) VALUES ('photos/a.jpg', 'f', '1')",
    RULE,
    "INSERT INTO second_step (person_id, how, name, secret, credential, counter, made_at)"
    " VALUES (1, 'app', 'phone', 'JBSWY3DP', '', 0, MOMENT)",
    "INSERT INTO recovery_code (person_id, digest, made_at) VALUES (1, 'kept', MOMENT)",
    "INSERT INTO sitting (digest, person_id, browser, made_at, seen_at, half, asked)"
    " VALUES ('half', 1, 'a tablet', MOMENT, MOMENT, true, 'who are you')",
)
NEW = {"shared_file", "rule_change", "second_step", "recovery_code"}


@pytest.fixture
def before(place) -> Engine:
    engine = place.bare()
    go(engine, command.upgrade, "0009")
    write(engine, *BEFORE)
    return engine


def write(engine: Engine, *statements: str) -> None:
    with engine.execution_options(writes=True).begin() as one:
        for statement in statements:
            one.execute(text(statement.replace("MOMENT", MOMENT)))


def rows(engine: Engine, query: str) -> list[tuple]:
    with engine.connect() as one:
        return [tuple(row) for row in one.execute(text(query))]


def test_what_was_there_stays_through_each_step_up_and_down(before: Engine) -> None:
    for _ in range(2):
        go(before, command.upgrade, "0012")
        assert set(inspect(before).get_table_names()) >= NEW
        assert rows(before, "SELECT digest, asked FROM sitting WHERE NOT half") == [("whole", "")]
        write(before, *OF_THEIR_OWN)
        for step in ("0011", "0010", "0009"):
            go(before, command.downgrade, step)
        assert not set(inspect(before).get_table_names()) & NEW
        assert rows(before, "SELECT name FROM person") == [("Ottoline",)]
        # A half session would be whole where nothing tells it from one.
        assert rows(before, "SELECT digest, browser FROM sitting") == [("whole", "a tablet")]
        assert rows(before, "SELECT client_key FROM device_request") == [("sent-once",)]
    with pytest.raises(DBAPIError):
        rows(before, "SELECT half FROM sitting")


def test_a_change_of_the_rules_is_only_ever_added(before: Engine) -> None:
    go(before, command.upgrade, "0012")
    write(before, RULE)
    for statement in ("UPDATE rule_change SET value = 2", "DELETE FROM rule_change"):
        with pytest.raises(DBAPIError, match="a change of the rules never"):
            write(before, statement)
    assert rows(before, "SELECT value FROM rule_change") == [(1.1,)]


def test_old_requests_are_found_by_their_day(before: Engine) -> None:
    def indexed() -> bool:
        found = inspect(before).get_indexes("device_request")
        return any(one["column_names"] == ["made_at"] for one in found)

    go(before, command.upgrade, "0011")
    assert not indexed()
    go(before, command.upgrade, "0012")
    assert indexed()
    go(before, command.downgrade, "0011")
    assert not indexed()
