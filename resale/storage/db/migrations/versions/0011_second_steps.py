"""A second step at the door: codes of an app, passkeys, codes for the day that both are lost.

Why: a password that was seen over a shoulder, or written on the wall, opened the shop. A sitting
is now half until its second step is done, and remembers what a passkey was asked.

Revision ID: 0011
Revises: 0010
"""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"


def upgrade() -> None:
    """Make the tables of second steps, and let a sitting be half."""
    op.create_table(
        "second_step",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("how", sa.String(10), nullable=False),
        sa.Column("name", sa.String(60), nullable=False),
        sa.Column("secret", sa.String(1000), nullable=False),
        sa.Column("credential", sa.String(1400), nullable=False),
        sa.Column("counter", sa.BigInteger(), nullable=False),
        sa.Column("proved_at", sa.DateTime(), nullable=True),
        sa.Column("used_at", sa.DateTime(), nullable=True),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_second_step"),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_second_step_person_id"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_second_step_person_id", "second_step", ["person_id"])
    op.create_table(
        "recovery_code",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("used_at", sa.DateTime(), nullable=True),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_recovery_code"),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name="fk_recovery_code_person_id"),
        sa.UniqueConstraint("digest", name="uq_recovery_code_digest"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_recovery_code_person_id", "recovery_code", ["person_id"])
    op.add_column(
        "sitting", sa.Column("half", sa.Boolean(), nullable=False, server_default=sa.false())
    )
    op.add_column("sitting", sa.Column("asked", sa.String(100), nullable=False, server_default=""))


def downgrade() -> None:
    """Take them away; half sittings go, for nothing would tell them from whole ones."""
    op.execute("DELETE FROM sitting WHERE half")
    with op.batch_alter_table("sitting") as table:
        table.drop_column("asked")
        table.drop_column("half")
    op.drop_table("recovery_code")
    op.drop_table("second_step")
