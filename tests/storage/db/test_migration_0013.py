"""Step 0013: items that were saved before have one label for each name, and keep their spelling."""

from __future__ import annotations

from alembic import command
from migrating import go
from sqlalchemy import text

from resale.storage.items.label_rows import all_names

ITEM = (
    "INSERT INTO item (number, client_key, kind, label, size, note, made_at)"
    " VALUES ('{n}', '{n}', 'shirt', '{label}', '', '', '2026-03-01 12:00:00')"
)
WRITTEN = ("Nordhaus", "NORDHAUS", "Nordhaus", "Nord-Haus", "Ulm", "")


def test_spellings_of_before_become_one_label_and_are_kept(place):
    engine = place.bare()
    go(engine, command.upgrade, "0012")
    with engine.execution_options(writes=True).begin() as one:
        for number, label in enumerate(WRITTEN):
            one.execute(text(ITEM.format(n=f"Q-{number}", label=label)))
    go(engine, command.upgrade, "0013")
    with engine.connect() as one:
        rows = one.execute(text("SELECT label, label_written FROM item ORDER BY id")).all()
    assert [row.label for row in rows] == ["Nordhaus"] * 4 + ["Ulm", ""]
    assert [row.label_written for row in rows] == list(WRITTEN)
    assert all_names(engine).name_of("nord haus") == "Nordhaus"
    go(engine, command.downgrade, "0012")
    with engine.connect() as one:
        labels = one.execute(text("SELECT label FROM item ORDER BY id")).scalars().all()
    assert list(labels) == list(WRITTEN)
