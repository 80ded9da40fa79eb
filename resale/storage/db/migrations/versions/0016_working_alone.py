"""Who works alone with what.

Why: whether somebody's second looks may be fewer is a lead's word that has to stand with its
reason.

Revision ID: 0016
Revises: 0015
"""

import sqlalchemy as sa
from alembic import op

from resale.storage.db.migrations.never_changed import functions_gone, triggers

revision = "0016"
down_revision = "0015"

TABLE, WHAT = "working_alone", "a word on working alone"


def upgrade() -> None:
    """Make the table, only ever added to."""
    op.create_table(
        TABLE,
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("alone", sa.Boolean(), nullable=False),
        sa.Column("why", sa.String(400), nullable=False),
        sa.Column("by_whom", sa.String(60), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=f"pk_{TABLE}"),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=f"fk_{TABLE}_person_id"),
        sqlite_autoincrement=True,
    )
    op.create_index(f"ix_{TABLE}_person_id", TABLE, ["person_id"])
    for statement in triggers(op.get_bind().dialect.name, TABLE, WHAT):
        op.execute(statement)


def downgrade() -> None:
    """Take the table away; second looks stay."""
    op.drop_table(TABLE)
    for statement in functions_gone(op.get_bind().dialect.name, TABLE):
        op.execute(statement)
