"""What devices sent long ago is let go.

Why: a row was kept for every sending for good; now those of more than a month go with the next
one, and are found without reading them all.

Revision ID: 0012
Revises: 0011
"""

from alembic import op

revision = "0012"
down_revision = "0011"


def upgrade() -> None:
    """Find old requests by their day."""
    op.create_index("ix_device_request_made_at", "device_request", ["made_at"])


def downgrade() -> None:
    """Take the index away."""
    op.drop_index("ix_device_request_made_at", "device_request")
