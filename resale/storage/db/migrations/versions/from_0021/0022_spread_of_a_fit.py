"""Room for how far the sales of a fit spread as they were read.

Why: the list of learned prices showed only what would be left with every sign looked at, 20 %, to
shops whose files have no signs and whose sales spread by 35 %.

Revision ID: 0022
Revises: 0021
"""

import sqlalchemy as sa
from alembic import op

revision = "0022"
down_revision = "0021"


def upgrade() -> None:
    """Make the column; fits of before have no figure in it."""
    op.add_column("model_run", sa.Column("spread", sa.Float(), nullable=True))


def downgrade() -> None:
    """Take the column away."""
    op.drop_column("model_run", "spread")
