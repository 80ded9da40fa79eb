"""Photos of items.

Why: what a hand found is shown to the next sorter, and to the one who brought the item. The rows
may be changed and removed, for a photo may show what is somebody's own.

Revision ID: 0006
Revises: 0005
"""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    """Make the table of photos."""
    op.create_table(
        "photo",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("item_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(32), nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("signal", sa.String(40), nullable=False),
        sa.Column("option", sa.String(40), nullable=False),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("by_whom", sa.String(60), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("reviewed", sa.String(10), nullable=False),
        sa.Column("reviewed_by", sa.String(60), nullable=False),
        sa.Column("reviewed_at", sa.DateTime(), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_photo"),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name="fk_photo_item_id"),
        sa.UniqueConstraint("name", name="uq_photo_name"),
        sa.UniqueConstraint("item_id", "digest", name="uq_photo_item_id"),
        sqlite_autoincrement=True,
    )


def downgrade() -> None:
    """Take the table away; the files in the folder of photos are then nobody's."""
    op.drop_table("photo")
