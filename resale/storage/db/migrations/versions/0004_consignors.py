"""Consignors.

Why: who brought an item has to be known before it can be accounted for; a number and a name are
enough.

Revision ID: 0004
Revises: 0003
"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Make the tables of the consignor side."""
    op.create_table(
        "consignor",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("number", sa.String(20), nullable=False),
        sa.Column("name", sa.String(80), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_consignor"),
        sa.UniqueConstraint("number", name="uq_consignor_number"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "brought",
        sa.Column("item_id", sa.Integer(), nullable=False),
        sa.Column("consignor_id", sa.Integer(), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("item_id", name="pk_brought"),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name="fk_brought_item_id"),
        sa.ForeignKeyConstraint(["consignor_id"], ["consignor.id"], name="fk_brought_consignor_id"),
    )
    op.create_index("ix_brought_consignor_id", "brought", ["consignor_id"])


def downgrade() -> None:
    """Take the tables away; items and what happened to them stay."""
    op.drop_table("brought")
    op.drop_table("consignor")
