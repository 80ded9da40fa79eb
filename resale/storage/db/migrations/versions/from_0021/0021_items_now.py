"""Where each item is now, as a row that the database keeps.

Why: every list asked the whole history where each item is, so the Rail, the list of items and the
Evidence took longer with every sale that there ever was.

Revision ID: 0021
Revises: 0020
"""

import sqlalchemy as sa
from alembic import op

from resale.storage.db.migrations.item_now_triggers import (
    state_triggers,
    state_triggers_gone,
    written,
)

revision = "0021"
down_revision = "0020"

# A file of records has 64 bits in every integer.
MINOR = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Make the table, write its rows, and let the database keep them."""
    op.create_table(
        "item_now",
        sa.Column("item_id", sa.Integer(), sa.ForeignKey("item.id"), nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("place", sa.String(20), nullable=False),
        sa.Column("what", sa.String(20), nullable=False),
        sa.Column("day", sa.Date(), nullable=True),
        sa.Column("event_id", sa.Integer(), nullable=True),
        sa.Column("amount", MINOR, nullable=True),
        sa.Column("currency", sa.String(3), nullable=False),
        sa.Column("valuation_id", sa.Integer(), nullable=True),
        sa.Column("changed", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("item_id", name="pk_item_now"),
    )
    op.create_index("ix_item_now_place_item_id", "item_now", ["place", "item_id"])
    read = ("event_id", "item_id", "valuation_id")
    op.create_index("ix_item_now_what_day", "item_now", ["what", "day", *read])
    money = ("currency", "amount")
    op.create_index("ix_item_now_what_kind_day", "item_now", ["what", "kind", "day", *read, *money])
    op.create_index("ix_item_now_valuation_id", "item_now", ["valuation_id"])
    op.create_index("ix_item_now_changed", "item_now", ["changed"])
    op.execute(written("true"))
    for statement in state_triggers(op.get_bind().dialect.name):
        op.execute(statement)


def downgrade() -> None:
    """Take the table away; nothing is lost, for it follows from the rest."""
    for statement in state_triggers_gone(op.get_bind().dialect.name):
        op.execute(statement)
    op.drop_table("item_now")
