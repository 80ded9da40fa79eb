"""What every machine of a shop has to know lies in its records.

Why: prices learned on one machine, and rules changed there, lay in that machine's folder; another
machine on the same server went on by its own. Changes of the rule book become rows that say which
change they were made from, so that of two leads the second is told. Changes that lie in a file are
taken in when the shop is opened next.

Revision ID: 0010
Revises: 0009
"""

import sqlalchemy as sa
from alembic import op

from resale.storage.db.migrations.never_changed import functions_gone, triggers

revision = "0010"
down_revision = "0009"


def upgrade() -> None:
    """Make the tables of shared files and of changed rules."""
    op.create_table(
        "shared_file",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_shared_file"),
        sa.UniqueConstraint("name", name="uq_shared_file_name"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "rule_change",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("kind", sa.String(60), nullable=False),
        sa.Column("signal", sa.String(60), nullable=False),
        sa.Column("option", sa.String(60), nullable=False),
        sa.Column("field", sa.String(10), nullable=False),
        sa.Column("value", sa.Float(), nullable=False),
        sa.Column("who", sa.String(240), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("why", sa.String(240), nullable=False),
        sa.Column("made_from", sa.Integer(), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_rule_change"),
        sqlite_autoincrement=True,
    )
    for statement in triggers(op.get_bind().dialect.name, "rule_change", "a change of the rules"):
        op.execute(statement)


def downgrade() -> None:
    """Take the tables away; the changes of the rule book are then gone."""
    op.drop_table("rule_change")
    for statement in functions_gone(op.get_bind().dialect.name, "rule_change"):
        op.execute(statement)
    op.drop_table("shared_file")
