"""Devices and what they sent.

Why: a till or a scanner asks over the wire with a token of its own, of which only a digest may lie
in the records; and what it sends twice over a bad wire must be done once.

Revision ID: 0007
Revises: 0006
"""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"


def upgrade() -> None:
    """Make the tables of the devices."""
    op.create_table(
        "device_token",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(60), nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("scopes", sa.String(40), nullable=False),
        sa.Column("made_by", sa.String(60), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("last_used_at", sa.DateTime(), nullable=True),
        sa.Column("revoked_at", sa.DateTime(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_device_token"),
        sa.UniqueConstraint("digest", name="uq_device_token_digest"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "device_request",
        sa.Column("client_key", sa.String(64), nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("answer", sa.JSON(), nullable=True),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("client_key", name="pk_device_request"),
    )


def downgrade() -> None:
    """Take the tables away; what the devices wrote of items stays."""
    op.drop_table("device_request")
    op.drop_table("device_token")
