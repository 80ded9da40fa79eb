"""Short lists of those who, and of what, has no agreed share yet.

Why: every sale asks whether there are any, and went through all that consignors ever brought.

Revision ID: 0023
Revises: 0022
"""

import sqlalchemy as sa
from alembic import op

revision = "0023"
down_revision = "0022"

_LISTS = (("consignor", "id"), ("brought", "item_id"))


def upgrade() -> None:
    """Make the lists."""
    none = sa.text("share IS NULL")
    for table, column in _LISTS:
        name = f"ix_{table}_without_share"
        op.create_index(name, table, [column], sqlite_where=none, postgresql_where=none)


def downgrade() -> None:
    """Take them away."""
    for table, _ in _LISTS:
        op.drop_index(f"ix_{table}_without_share", table)
