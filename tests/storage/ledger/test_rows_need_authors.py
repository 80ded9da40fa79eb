"""Nothing is written that nobody is named for, whichever door it came by."""

from __future__ import annotations

import pytest
from a_save import AT, a_save
from ledger_shop import NOON, LedgerShop
from sqlalchemy import text
from sqlalchemy.exc import DatabaseError
from writing import save_item

REFUSED = "needs the name of who wrote it"
ROWS = {
    "event": (
        "INSERT INTO event (item_id, what, day, currency, note, by_whom, data, strikes, client_key,"
        " made_at) VALUES (1, 'sold', '2026-02-01', '', '', :by, '{}', false, 'k', :at)"
    ),
    "hold_event": (
        "INSERT INTO hold_event (item_id, hold, what, reason, by_whom, data, client_key, made_at)"
        " VALUES (1, 'mould', 'raised', '', :by, '{}', 'k', :at)"
    ),
    "model_switch": "INSERT INTO model_switch (by_whom, made_at) VALUES (:by, :at)",
}


@pytest.mark.parametrize("by", ["", "  "])
@pytest.mark.parametrize("table", ROWS)
def test_the_database_refuses_a_row_without_an_author(records, table, by):
    LedgerShop(records).item()
    row = {"at": NOON.replace(tzinfo=None)}
    with (
        pytest.raises(DatabaseError, match=REFUSED),
        records.begin() as at,
    ):
        at.execute(text(ROWS[table]), {**row, "by": by})
    with records.begin() as at:
        at.execute(text(ROWS[table]), {**row, "by": "Sunniva"})


def test_a_save_without_an_author_writes_nothing(records):
    with pytest.raises(DatabaseError, match=REFUSED):
        save_item(records, a_save(), AT, by="")
    with records.connect() as at:
        assert at.scalar(text("SELECT count(*) FROM item")) == 0
