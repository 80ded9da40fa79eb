"""People sign in, and what they do is written down.

Why: a desk can trust its stock to the tool only if nobody gets in who should not, and if it can
be told afterwards who did what.

Revision ID: 0005
Revises: 0004
"""

import sqlalchemy as sa
from alembic import op

from resale.storage.db.migrations.never_changed import functions_gone, triggers

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    """Give people a password, links and sittings, and make the table of deeds."""
    with op.batch_alter_table("person") as person:
        person.add_column(sa.Column("secret", sa.String(200), nullable=False, server_default=""))
        person.add_column(sa.Column("left_at", sa.DateTime(), nullable=True))
    _table(
        "sitting",
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("browser", sa.String(200), nullable=False),
        sa.Column("seen_at", sa.DateTime(), nullable=False),
        sa.Column("ended_at", sa.DateTime(), nullable=True),
        sa.UniqueConstraint("digest", name="uq_sitting_digest"),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_sitting_person_id"),
    )
    op.create_index("ix_sitting_person_id", "sitting", ["person_id"])
    _table(
        "entry_link",
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("until", sa.DateTime(), nullable=False),
        sa.Column("used_at", sa.DateTime(), nullable=True),
        sa.UniqueConstraint("digest", name="uq_entry_link_digest"),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_entry_link_person_id"),
    )
    op.create_index("ix_entry_link_person_id", "entry_link", ["person_id"])
    _table(
        "deed",
        sa.Column("by_whom", sa.String(60), nullable=False),
        sa.Column("role", sa.String(10), nullable=False),
        sa.Column("what", sa.String(80), nullable=False),
        sa.Column("about", sa.String(120), nullable=False),
        sa.Column("data", sa.JSON(), nullable=False),
    )
    op.create_index("ix_deed_about", "deed", ["about"])
    op.create_index("ix_deed_made_at", "deed", ["made_at"])
    for statement in triggers(op.get_bind().dialect.name, "deed", "a deed"):
        op.execute(statement)


def downgrade() -> None:
    """Take the tables away; the people stay by name."""
    for table in ("deed", "entry_link", "sitting"):
        op.drop_table(table)
    for statement in functions_gone(op.get_bind().dialect.name, "deed"):
        op.execute(statement)
    with op.batch_alter_table("person") as person:
        person.drop_column("left_at")
        person.drop_column("secret")


def _table(name: str, *columns: sa.schema.SchemaItem) -> None:
    op.create_table(
        name,
        sa.Column("id", sa.Integer(), primary_key=True),
        *columns,
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=f"pk_{name}"),
        sqlite_autoincrement=True,
    )
