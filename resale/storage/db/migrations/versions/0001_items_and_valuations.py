"""Items and their valuations.

Revision ID: 0001
Revises: nothing
"""

import sqlalchemy as sa
from alembic import op

from resale.storage.db.migrations.never_changed import functions_gone, triggers

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the first two tables: what was on the bench, and what it was valued at."""
    op.create_table(
        "item",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("number", sa.String(20), nullable=False),
        sa.Column("client_key", sa.String(64), nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("label", sa.String(80), nullable=False),
        sa.Column("size", sa.String(30), nullable=False),
        sa.Column("note", sa.String(400), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_item"),
        sa.UniqueConstraint("client_key", name="uq_item_client_key"),
        sa.UniqueConstraint("number", name="uq_item_number"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_item_kind", "item", ["kind"])
    op.create_index("ix_item_made_at", "item", ["made_at"])
    op.create_table(
        "valuation",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("item_id", sa.Integer(), nullable=False),
        sa.Column("client_key", sa.String(64), nullable=False),
        sa.Column("inputs_digest", sa.String(64), nullable=False),
        sa.Column("inputs", sa.JSON(), nullable=False),
        sa.Column("result", sa.JSON(), nullable=False),
        sa.Column("book_version", sa.String(20), nullable=False),
        sa.Column("book_fingerprint", sa.String(64), nullable=False),
        sa.Column("model_id", sa.String(64), nullable=False),
        sa.Column("currency", sa.String(3), nullable=False),
        *(sa.Column(name, sa.Integer(), nullable=False) for name in MONEY),
        sa.Column("tier", sa.String(40), nullable=False),
        sa.Column("route", sa.String(20), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name="fk_valuation_item_id"),
        sa.PrimaryKeyConstraint("id", name="pk_valuation"),
        sa.UniqueConstraint("client_key", "inputs_digest", name="uq_valuation_client_key"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_valuation_item_id_id", "valuation", ["item_id", "id"])
    # A stored valuation is what somebody was told; the database itself refuses to change it.
    for statement in triggers(op.get_bind().dialect.name, "valuation", "a stored valuation"):
        op.execute(statement)


MONEY = ("estimate", "low", "high", "ticket")


def downgrade() -> None:
    """Take both tables away, and with them all that was saved."""
    op.drop_table("valuation")
    op.drop_table("item")
    for statement in functions_gone(op.get_bind().dialect.name, "valuation"):
        op.execute(statement)
