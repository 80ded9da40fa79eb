"""Room for what is said of days without a sale; money in 64 bits on a server.

Why: days on which nobody entered what sold were read as days on which nothing sold, and taught that
things sell slowly. And a server's plain integer ends at some twenty million in a currency of a
hundred, which sums of a large shop may pass.

Revision ID: 0020
Revises: 0019
"""

import sqlalchemy as sa
from alembic import op

from resale.storage.db.migrations.needs_author import author_triggers

revision = "0020"
down_revision = "0019"

MONEY = {
    "valuation": ("estimate", "low", "high", "ticket"),
    "event": ("amount",),
    "posting": ("amount",),
    "statement": ("closing",),
}


def upgrade() -> None:
    """Make the table, and the columns wider where they are narrow."""
    op.create_table(
        "quiet_spell",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("first", sa.Date(), nullable=False),
        sa.Column("last", sa.Date(), nullable=False),
        sa.Column("was_open", sa.Boolean(), nullable=False),
        sa.Column("by_whom", sa.String(60), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_quiet_spell"),
        sqlite_autoincrement=True,
    )
    dialect = op.get_bind().dialect.name
    for statement in author_triggers(dialect, "quiet_spell", "what is said of quiet days"):
        op.execute(statement)
    _money(sa.BigInteger())


def downgrade() -> None:
    """Take the table away; money that is too large for the narrow columns stops this."""
    dialect = op.get_bind().dialect.name
    op.drop_table("quiet_spell")
    if dialect == "postgresql":
        op.execute("DROP FUNCTION quiet_spell_needs_author()")
    _money(sa.Integer())


def _money(kind: sa.types.TypeEngine[int]) -> None:
    # A file of records has 64 bits in every integer.
    if op.get_bind().dialect.name != "postgresql":
        return
    for table, columns in MONEY.items():
        for column in columns:
            op.alter_column(table, column, type_=kind)
