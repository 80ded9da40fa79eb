"""A label is one thing, however it is spelt.

Why: a till wrote NORDHAUS and the bench Nordhaus, and one screen took them for two makers at two
prices. What is written on a thing stays beside what the shop calls it, so that joined labels can be
parted again.

Revision ID: 0013
Revises: 0012
"""

from collections import Counter
from datetime import UTC, datetime

import sqlalchemy as sa
from alembic import op

from resale.garments.labels.label_key import label_key

revision = "0013"
down_revision = "0012"


def upgrade() -> None:
    """Keep what is written, and call each label as it is written most often."""
    op.create_table(
        "label_name",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("key", sa.String(240), nullable=False),
        sa.Column("name", sa.String(80), nullable=False),
        sa.Column("by_whom", sa.String(60), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_label_name"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_label_name_key", "label_name", ["key"])
    op.add_column(
        "item", sa.Column("label_written", sa.String(80), nullable=False, server_default="")
    )
    op.execute("UPDATE item SET label_written = label")
    items = sa.table("item", sa.column("label"), sa.column("label_written"))
    written = op.get_bind().execute(
        sa.select(items.c.label, sa.func.count()).where(items.c.label != "").group_by(items.c.label)
    )
    spellings: dict[str, Counter[str]] = {}
    for label, count in written.all():
        spellings.setdefault(label_key(label), Counter())[label] = count
    for key, counts in spellings.items():
        _call(items, key, counts)


def _call(items: sa.TableClause, key: str, counts: Counter[str]) -> None:
    name = min(counts, key=lambda word: (-counts[word], word))
    at = datetime.now(UTC).replace(tzinfo=None)
    names = sa.table("label_name", *map(sa.column, ("key", "name", "by_whom", "made_at")))
    run = op.get_bind().execute
    run(sa.insert(names).values(key=key, name=name, by_whom="a newer version", made_at=at))
    run(sa.update(items).where(items.c.label_written.in_(list(counts))).values(label=name))


def downgrade() -> None:
    """Take the names away; each item shows what is written on it again."""
    op.execute("UPDATE item SET label = label_written WHERE label_written != ''")
    op.drop_column("item", "label_written")
    op.drop_index("ix_label_name_key", "label_name")
    op.drop_table("label_name")
