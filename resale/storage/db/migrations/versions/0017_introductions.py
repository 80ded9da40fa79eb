"""In which order somebody's signs are drilled, and what leads read each quarter.

Why: the order has to be stated before anybody can say what drilling did; leads who part on the
same things show where the rule book's own words are in doubt.

Revision ID: 0017
Revises: 0016
"""

from typing import Any

import sqlalchemy as sa
from alembic import op

from resale.storage.db.migrations.never_changed import functions_gone, triggers

revision = "0017"
down_revision = "0016"

NEVER_CHANGED = {"calibration": "what leads read in a quarter", "introduction": "a stated order"}


def upgrade() -> None:
    """Make the tables, each only ever added to."""
    _table(
        "calibration",
        sa.Column("quarter", sa.String(7), nullable=False),
        sa.Column("drawn", sa.JSON(), nullable=False),
        sa.UniqueConstraint("quarter", name="uq_calibration_quarter"),
    )
    _table(
        "introduction",
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("stated", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_introduction_person_id"),
    )
    op.create_index("ix_introduction_person_id", "introduction", ["person_id"])
    for table, what in NEVER_CHANGED.items():
        for statement in triggers(op.get_bind().dialect.name, table, what):
            op.execute(statement)


def downgrade() -> None:
    """Take the tables away; second looks and answers stay."""
    for table in reversed(NEVER_CHANGED):
        op.drop_table(table)
        for statement in functions_gone(op.get_bind().dialect.name, table):
            op.execute(statement)


def _table(name: str, *columns: Any) -> None:
    op.create_table(
        name,
        sa.Column("id", sa.Integer(), primary_key=True),
        *columns,
        sa.Column("by_whom", sa.String(60), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=f"pk_{name}"),
        sqlite_autoincrement=True,
    )
