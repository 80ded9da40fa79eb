"""Accounts: who is owed what, statements that are closed, days of the till that are closed.

Why: what was due was worked out anew each time, from the share that the shop has now; a return in
November of what was sold in October was on no statement, and nothing said what had been paid. What
was sold before is entered when the shop is opened next, for the agreed shares stand in its settings
(`resale.services.settlement.catch_up`).

Revision ID: 0014
Revises: 0013
"""

from typing import Any

import sqlalchemy as sa
from alembic import op

from resale.storage.db.migrations.needs_author import author_triggers
from resale.storage.db.migrations.never_changed import functions_gone, triggers

revision = "0014"
down_revision = "0013"

NEVER_CHANGED = {
    "account_entry": "an entry of the accounts",
    "posting": "a posting",
    "statement": "a closed statement",
    "stated_posting": "a line of a closed statement",
    "closed_day": "a closed day",
}
SIGNED = {
    "account_entry": "an entry of the accounts",
    "statement": "a closed statement",
    "closed_day": "a closed day",
}


def upgrade() -> None:
    """Make the tables, guard them, and make room for agreed shares."""
    for table in ("consignor", "brought"):
        op.add_column(table, sa.Column("share", sa.String(12), nullable=True))
    _entries()
    _statements()
    _table(
        "closed_day",
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("figures", sa.JSON(), nullable=False),
        *_signed(),
        sa.UniqueConstraint("day", name="uq_closed_day_day"),
    )
    dialect = op.get_bind().dialect.name
    guards = [triggers(dialect, table, what) for table, what in NEVER_CHANGED.items()]
    guards += [author_triggers(dialect, table, what) for table, what in SIGNED.items()]
    for guard in guards:
        for statement in guard:
            op.execute(statement)


def downgrade() -> None:
    """Take the accounts away; what happened to items stays."""
    dialect = op.get_bind().dialect.name
    for table in (
        "closed_day",
        "stated_posting",
        "statement_name",
        "statement",
        "posting",
        "account_entry",
    ):
        op.drop_table(table)
    for table in NEVER_CHANGED:
        for statement in functions_gone(dialect, table):
            op.execute(statement)
    if dialect == "postgresql":
        for table in SIGNED:
            op.execute(f"DROP FUNCTION {table}_needs_author()")
    for table in ("brought", "consignor"):
        # Not by a copy of the table: what points to its rows would stand in the way.
        op.drop_column(table, "share")


def _entries() -> None:
    _table(
        "account_entry",
        sa.Column("what", sa.String(20), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("about_day", sa.Date(), nullable=False),
        sa.Column("item_id", sa.Integer(), nullable=True),
        sa.Column("event_id", sa.Integer(), nullable=True),
        sa.Column("undoes", sa.Integer(), nullable=True),
        sa.Column("client_key", sa.String(80), nullable=False),
        *_signed(),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name="fk_account_entry_item_id"),
        sa.ForeignKeyConstraint(["event_id"], ["event.id"], name="fk_account_entry_event_id"),
        sa.ForeignKeyConstraint(["undoes"], ["account_entry.id"], name="fk_account_entry_undoes"),
        sa.UniqueConstraint("undoes", name="uq_account_entry_undoes"),
        sa.UniqueConstraint("client_key", name="uq_account_entry_client_key"),
    )
    op.create_index("ix_account_entry_item_id", "account_entry", ["item_id"])
    op.create_index("ix_account_entry_day", "account_entry", ["day"])
    _table(
        "posting",
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.Column("account", sa.String(40), nullable=False),
        sa.Column("consignor_id", sa.Integer(), nullable=True),
        sa.Column("amount", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["entry_id"], ["account_entry.id"], name="fk_posting_entry_id"),
        sa.ForeignKeyConstraint(["consignor_id"], ["consignor.id"], name="fk_posting_consignor_id"),
    )
    op.create_index("ix_posting_entry_id", "posting", ["entry_id"])
    op.create_index("ix_posting_consignor_id", "posting", ["consignor_id"])


def _statements() -> None:
    _table(
        "statement",
        sa.Column("consignor_id", sa.Integer(), nullable=False),
        sa.Column("serial", sa.Integer(), nullable=False),
        sa.Column("begin", sa.Date(), nullable=False),
        sa.Column("end", sa.Date(), nullable=False),
        sa.Column("closing", sa.Integer(), nullable=False),
        sa.Column("figures", sa.JSON(), nullable=False),
        *_signed(note=False),
        sa.ForeignKeyConstraint(
            ["consignor_id"], ["consignor.id"], name="fk_statement_consignor_id"
        ),
        sa.UniqueConstraint("consignor_id", "serial", name="uq_statement_consignor_id"),
    )
    op.create_table(
        "statement_name",
        sa.Column("statement_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(80), nullable=False),
        sa.PrimaryKeyConstraint("statement_id", name="pk_statement_name"),
        sa.ForeignKeyConstraint(
            ["statement_id"], ["statement.id"], name="fk_statement_name_statement_id"
        ),
    )
    op.create_table(
        "stated_posting",
        sa.Column("posting_id", sa.Integer(), nullable=False),
        sa.Column("statement_id", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("posting_id", name="pk_stated_posting"),
        sa.ForeignKeyConstraint(
            ["posting_id"], ["posting.id"], name="fk_stated_posting_posting_id"
        ),
        sa.ForeignKeyConstraint(
            ["statement_id"], ["statement.id"], name="fk_stated_posting_statement_id"
        ),
    )
    op.create_index("ix_stated_posting_statement_id", "stated_posting", ["statement_id"])


def _table(name: str, *parts: Any) -> None:
    op.create_table(
        name,
        sa.Column("id", sa.Integer(), primary_key=True),
        *parts,
        sa.PrimaryKeyConstraint("id", name=f"pk_{name}"),
        sqlite_autoincrement=True,
    )


def _signed(*, note: bool = True) -> list[sa.Column[Any]]:
    """Columns of who wrote a row, and when."""
    words = [sa.Column("note", sa.String(400), nullable=False)] if note else []
    return [
        *words,
        sa.Column("by_whom", sa.String(60), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
    ]
