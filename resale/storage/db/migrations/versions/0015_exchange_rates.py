"""What other currencies are worth in the shop's, from a day on.

Why: a file of 1,200 yen became 1,200 euro. Rows in another currency come back, or are turned at a
rate that the owner states.

Revision ID: 0015
Revises: 0014
"""

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"


def upgrade() -> None:
    """Make the table."""
    op.create_table(
        "exchange_rate",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("currency", sa.String(3), nullable=False),
        sa.Column("since", sa.Date(), nullable=False),
        sa.Column("rate", sa.String(40), nullable=False),
        sa.Column("by_whom", sa.String(60), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_exchange_rate"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_exchange_rate_currency", "exchange_rate", ["currency"])


def downgrade() -> None:
    """Take the table away; what was turned stays turned."""
    op.drop_index("ix_exchange_rate_currency", "exchange_rate")
    op.drop_table("exchange_rate")
