"""Holds are raised and cleared by rows of their own.

Why: a later valuation must not lift a hold, so it cannot be worked out from the newest readings;
and it must be told afterwards who cleared it, when and why. Items on hand get the holds that their
newest valuation shows, so that nothing that waits today has a ticket tomorrow.

Revision ID: 0008
Revises: 0007
"""

import json
from datetime import UTC, datetime

import sqlalchemy as sa
from alembic import op

from resale.safety.raising import holds_found
from resale.storage.db.migrations.never_changed import functions_gone, triggers

revision = "0008"
down_revision = "0007"

_NEWEST = """
SELECT v.item_id, v.inputs, v.route FROM valuation AS v
WHERE v.id IN (SELECT max(id) FROM valuation GROUP BY item_id)
"""


def upgrade() -> None:
    """Make the table of holds, and raise what the newest valuations show."""
    table = op.create_table(
        "hold_event",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("item_id", sa.Integer(), nullable=False),
        sa.Column("hold", sa.String(40), nullable=False),
        sa.Column("what", sa.String(10), nullable=False),
        sa.Column("reason", sa.String(400), nullable=False),
        sa.Column("by_whom", sa.String(60), nullable=False),
        sa.Column("data", sa.JSON(), nullable=False),
        sa.Column("client_key", sa.String(80), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_hold_event"),
        sa.UniqueConstraint("client_key", name="uq_hold_event_client_key"),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name="fk_hold_event_item_id"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_hold_event_item_id_hold_id", "hold_event", ["item_id", "hold", "id"])
    for statement in triggers(op.get_bind().dialect.name, "hold_event", "a hold"):
        op.execute(statement)
    rows = _raised_already(op.get_bind())
    if rows:
        op.bulk_insert(table, rows)


def _raised_already(connection: sa.Connection) -> list[dict[str, object]]:
    now = datetime.now(UTC).replace(tzinfo=None)
    rows: list[dict[str, object]] = []
    for item_id, kept, route in connection.execute(sa.text(_NEWEST)):
        inputs = json.loads(kept) if isinstance(kept, str) else kept
        for hold, answers in holds_found(inputs, route).items():
            row = {"item_id": item_id, "hold": hold, "what": "raised", "reason": "", "by_whom": ""}
            own = {"data": {"answers": list(answers)}, "client_key": f"0008 {item_id} {hold}"}
            rows.append({**row, **own, "made_at": now})
    return rows


def downgrade() -> None:
    """Take the table away."""
    op.drop_table("hold_event")
    for statement in functions_gone(op.get_bind().dialect.name, "hold_event"):
        op.execute(statement)
