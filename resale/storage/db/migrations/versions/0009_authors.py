"""Every new event, hold, switch of prices and line of the audit log names its author.

Why: what came in by a device or was learned on a screen had an empty author, and nobody could say
afterwards who took an item in or whose word the prices follow. Rows of before stay as they are.

Revision ID: 0009
Revises: 0008
"""

from alembic import op

from resale.storage.db.migrations.needs_author import author_triggers, author_triggers_gone

revision = "0009"
down_revision = "0008"

TABLES = {
    "event": "an event",
    "hold_event": "a hold",
    "model_switch": "a switch of prices",
    "deed": "a line of the audit log",
}


def upgrade() -> None:
    """Let the database refuse what nobody is named for."""
    for table, what in TABLES.items():
        for statement in author_triggers(op.get_bind().dialect.name, table, what):
            op.execute(statement)


def downgrade() -> None:
    """Let it be again."""
    for table in TABLES:
        for statement in author_triggers_gone(op.get_bind().dialect.name, table):
            op.execute(statement)
