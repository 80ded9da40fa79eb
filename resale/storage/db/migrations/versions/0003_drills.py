"""People, drills and second looks.

Why: whoever learns needs a name, what was answered has to last, and an item looked at twice says
on which signs people differ.

Revision ID: 0003
Revises: 0002
"""

from typing import Any

import sqlalchemy as sa
from alembic import op

from resale.storage.db.migrations.never_changed import functions_gone, triggers

revision = "0003"
down_revision = "0002"

NEVER_CHANGED = {
    "drill_session": "a session",
    "drill_answer": "an answer",
    "whole_item": "a reading of a whole item",
    "second_look_sample": "a sample",
    "second_look": "a second look",
}


def upgrade() -> None:
    """Make the tables of the third desk, and guard those that are only added to."""
    _table("person", _text("name", 60), _text("role", 10), unique="name")
    _table(
        "drill_session",
        _text("client_key", 64),
        _link("person_id"),
        _json("plan"),
        unique="client_key",
        to={"person_id": "person"},
    )
    op.create_index("ix_drill_session_person_id", "drill_session", ["person_id"])
    _answers()
    op.create_table(
        "drill_state",
        _link("person_id"),
        _json("state"),
        sa.Column("changed_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("person_id", name="pk_drill_state"),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_drill_state_person_id"),
    )
    _looks()
    for table, what in NEVER_CHANGED.items():
        for statement in triggers(op.get_bind().dialect.name, table, what):
            op.execute(statement)


def downgrade() -> None:
    """Take the tables away; items, sales and valuations stay."""
    for table in (*reversed(NEVER_CHANGED), "drill_state", "person"):
        op.drop_table(table)
    for table in NEVER_CHANGED:
        for statement in functions_gone(op.get_bind().dialect.name, table):
            op.execute(statement)


def _answers() -> None:
    _table(
        "drill_answer",
        _text("client_key", 80),
        _link("person_id"),
        _text("drill", 120),
        _text("family", 40),
        sa.Column("level", sa.Integer(), nullable=False),
        sa.Column("seed", sa.Integer(), nullable=False),
        _json("signals"),
        _text("answer", 200),
        _text("truth", 200),
        sa.Column("right", sa.Boolean(), nullable=False),
        sa.Column("seconds", sa.Float(), nullable=False),
        unique="client_key",
        to={"person_id": "person"},
    )
    op.create_index("ix_drill_answer_person_id_id", "drill_answer", ["person_id", "id"])


def _looks() -> None:
    both = {"person_id": "person", "item_id": "item"}
    _table(
        "whole_item",
        _text("client_key", 64),
        _link("person_id"),
        _link("item_id"),
        _json("reading"),
        _json("lead"),
        unique="client_key",
        to=both,
    )
    op.create_index("ix_whole_item_person_id", "whole_item", ["person_id"])
    _table(
        "second_look_sample",
        sa.Column("day", sa.Date(), nullable=False),
        _json("plan"),
        unique="day",
    )
    _table(
        "second_look",
        _text("client_key", 80),
        _link("item_id"),
        _link("person_id"),
        sa.Column("sampled_on", sa.Date(), nullable=True),
        _json("reading"),
        _json("first"),
        sa.Column("seconds", sa.Float(), nullable=False),
        unique="client_key",
        to=both,
    )
    op.create_index("ix_second_look_item_id", "second_look", ["item_id"])
    op.create_index("ix_second_look_sampled_on", "second_look", ["sampled_on"])


def _table(name: str, *columns: Any, unique: str, to: dict[str, str] | None = None) -> None:
    op.create_table(
        name,
        sa.Column("id", sa.Integer(), primary_key=True),
        *columns,
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=f"pk_{name}"),
        sa.UniqueConstraint(unique, name=f"uq_{name}_{unique}"),
        *(
            sa.ForeignKeyConstraint([column], [f"{table}.id"], name=f"fk_{name}_{column}")
            for column, table in (to or {}).items()
        ),
        sqlite_autoincrement=True,
    )


def _text(name: str, length: int) -> sa.Column[str]:
    return sa.Column(name, sa.String(length), nullable=False)


def _json(name: str) -> sa.Column[Any]:
    return sa.Column(name, sa.JSON(), nullable=False)


def _link(name: str) -> sa.Column[int]:
    return sa.Column(name, sa.Integer(), nullable=False)
