"""What happened to items, loaded files, remembered columns and fitted models.

Why: prices are learned from what sold, and what sold is known from events. Items that were saved
before get the events that their valuations stand for.

Revision ID: 0002
Revises: 0001
"""

import hashlib
import json
from collections.abc import Iterator
from datetime import UTC, date, datetime
from typing import Any

import sqlalchemy as sa
from alembic import op

from resale.storage.db.migrations.never_changed import functions_gone, triggers

revision = "0002"
down_revision = "0001"

NEVER_CHANGED = {
    "event": "an event",
    "import_run": "a loaded file",
    "column_memory": "a remembered word",
    "model_run": "a fitted model",
    "model_switch": "a switch of models",
}
AT_ONCE = 500


def upgrade() -> None:
    """Make the tables, guard them, and write down what is known of items that are there."""
    event = _event_table()
    _table(
        "import_run",
        sa.Column("digest", sa.String(64), nullable=False, unique=True),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("counts", sa.JSON(), nullable=False),
    )
    _table(
        "column_memory",
        sa.Column("about", sa.String(80), nullable=False),
        sa.Column("said", sa.String(400), nullable=False),
        sa.Column("means", sa.String(80), nullable=False),
    )
    op.create_index("ix_column_memory_about_said", "column_memory", ["about", "said"])
    _table(
        "model_run",
        sa.Column("model_id", sa.String(64), nullable=False, unique=True),
        sa.Column("folder", sa.String(400), nullable=False),
        sa.Column("note", sa.String(400), nullable=False),
        sa.Column("book_version", sa.String(20), nullable=False),
        sa.Column("book_fingerprint", sa.String(64), nullable=False),
        sa.Column("data", sa.String(64), nullable=False),
        sa.Column("sales", sa.Integer(), nullable=False),
        sa.Column("noise", sa.Float(), nullable=False),
    )
    _table(
        "model_switch",
        sa.Column("model_id", sa.String(64), nullable=True),
        sa.Column("by_whom", sa.String(60), nullable=False),
        sa.ForeignKeyConstraint(
            ["model_id"], ["model_run.model_id"], name="fk_model_switch_model_id"
        ),
    )
    for table, what in NEVER_CHANGED.items():
        for statement in triggers(op.get_bind().dialect.name, table, what):
            op.execute(statement)
    for rows in _in_parts(_known_events(op.get_bind())):
        op.bulk_insert(event, rows)


def downgrade() -> None:
    """Take the tables away; items and valuations stay."""
    for table in ("model_switch", "model_run", "column_memory", "import_run", "event"):
        op.drop_table(table)
    for table in NEVER_CHANGED:
        for statement in functions_gone(op.get_bind().dialect.name, table):
            op.execute(statement)


def _table(name: str, *parts: Any) -> sa.Table:
    columns = [part for part in parts if isinstance(part, sa.Column)]
    unique = [column.name for column in columns if column.unique]
    for column in columns:
        column.unique = None
    return op.create_table(
        name,
        sa.Column("id", sa.Integer(), primary_key=True),
        *parts,
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=f"pk_{name}"),
        *(sa.UniqueConstraint(column, name=f"uq_{name}_{column}") for column in unique),
        sqlite_autoincrement=True,
    )


def _event_table() -> sa.Table:
    table = _table(
        "event",
        sa.Column("item_id", sa.Integer(), nullable=False),
        sa.Column("what", sa.String(20), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("amount", sa.Integer(), nullable=True),
        sa.Column("currency", sa.String(3), nullable=False),
        sa.Column("note", sa.String(400), nullable=False),
        sa.Column("by_whom", sa.String(60), nullable=False),
        sa.Column("data", sa.JSON(), nullable=False),
        sa.Column("corrects", sa.Integer(), nullable=True),
        sa.Column("strikes", sa.Boolean(), nullable=False),
        sa.Column("client_key", sa.String(80), nullable=False, unique=True),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name="fk_event_item_id"),
        sa.ForeignKeyConstraint(["corrects"], ["event.id"], name="fk_event_corrects"),
    )
    op.create_index("ix_event_item_id_day", "event", ["item_id", "day"])
    op.create_index("ix_event_day", "event", ["day"])
    op.create_index("ix_event_corrects", "event", ["corrects"])
    return table


# ---------------------------------------------------------------- what is known already
def _known_events(connection: sa.Connection) -> Iterator[dict[str, Any]]:
    """Taken in once and valued once a valuation, as a save on the bench writes it today."""
    items = connection.execute(sa.text("SELECT id, client_key, made_at FROM item ORDER BY id"))
    for item_id, key, made_at in items.all():
        yield _row(item_id, "taken_in", made_at, _key("taken_in", key))
    valuations = connection.execute(
        sa.text(
            "SELECT id, item_id, client_key, inputs_digest, currency, estimate, ticket, model_id,"
            " made_at FROM valuation ORDER BY id"
        )
    )
    for one in valuations.all():
        data = {"valuation": one.id, "ticket": one.ticket, "model": one.model_id}
        key = _key("valued", one.client_key, one.inputs_digest)
        known = _row(one.item_id, "valued", one.made_at, key)
        yield {**known, "amount": one.estimate, "currency": one.currency, "data": data}


def _row(item_id: int, what: str, made_at: Any, key: str) -> dict[str, Any]:
    # Asked in plain SQL, SQLite gives a time as the text that it keeps.
    at = datetime.fromisoformat(made_at) if isinstance(made_at, str) else made_at
    # Times are universal; the day is that of the shop, which is where this machine stands.
    day: date = at.replace(tzinfo=UTC).astimezone().date()
    return {
        "item_id": item_id,
        "what": what,
        "day": day,
        "amount": None,
        "currency": "",
        "note": "",
        "by_whom": "",
        "data": {},
        "corrects": None,
        "strikes": False,
        "client_key": key,
        "made_at": at,
    }


def _key(*parts: str) -> str:
    return hashlib.sha256(json.dumps(parts).encode()).hexdigest()


def _in_parts(rows: Iterator[dict[str, Any]]) -> Iterator[list[dict[str, Any]]]:
    part: list[dict[str, Any]] = []
    for row in rows:
        part.append(row)
        if len(part) == AT_ONCE:
            yield part
            part = []
    if part:
        yield part
