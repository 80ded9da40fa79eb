"""Words by which items are found, and the photo that stands in front.

Why: the list of items found what stood in five columns, read from end to end for every search, and
nothing of what was seen of a thing; a name spelt wrongly found nothing. And the oldest photo of a
thing is not always the one that shows it.

The words follow from the items: the next start writes those of the items that are there already
(`resale.storage.items.search_index`).

Revision ID: 0019
Revises: 0018
"""

import sqlalchemy as sa
from alembic import op

revision = "0019"
down_revision = "0018"


def upgrade() -> None:
    """Make the tables and the column."""
    op.create_table(
        "search_word",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("word", sa.String(40), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_search_word"),
        sa.UniqueConstraint("word", name="uq_search_word_word"),
    )
    op.create_table(
        "item_word",
        sa.Column("word_id", sa.Integer(), sa.ForeignKey("search_word.id"), nullable=False),
        sa.Column("item_id", sa.Integer(), sa.ForeignKey("item.id"), nullable=False),
        sa.PrimaryKeyConstraint("word_id", "item_id", name="pk_item_word"),
    )
    op.create_index("ix_item_word_item_id", "item_word", ["item_id"])
    op.add_column(
        "photo", sa.Column("in_front", sa.Boolean(), nullable=False, server_default=sa.false())
    )


def downgrade() -> None:
    """Take them away; the oldest photo stands in front again."""
    op.drop_column("photo", "in_front")
    op.drop_index("ix_item_word_item_id", "item_word")
    op.drop_table("item_word")
    op.drop_table("search_word")
