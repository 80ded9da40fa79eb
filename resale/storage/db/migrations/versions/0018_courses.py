"""Courses, and who takes them.

Why: a lead had no way to say what a beginner is to learn this week, and no page said how far
somebody is with it.

Revision ID: 0018
Revises: 0017
"""

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0017"


def upgrade() -> None:
    """Make both tables."""
    op.create_table(
        "course",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("client_key", sa.String(64), nullable=False),
        sa.Column("name", sa.String(60), nullable=False),
        sa.Column("plan", sa.JSON(), nullable=False),
        sa.Column("by_whom", sa.String(60), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_course"),
        sa.UniqueConstraint("client_key", name="uq_course_client_key"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "course_member",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("course_id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("started_at", sa.DateTime(), nullable=False),
        sa.Column("ended_at", sa.DateTime(), nullable=True),
        sa.ForeignKeyConstraint(
            ["course_id"], ["course.id"], name="fk_course_member_course_id_course"
        ),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name="fk_course_member_person_id_person"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_course_member"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_course_member_course_id", "course_member", ["course_id"])
    op.create_index("ix_course_member_person_id", "course_member", ["person_id"])


def downgrade() -> None:
    """Take them away; what was answered stays."""
    op.drop_table("course_member")
    op.drop_table("course")
