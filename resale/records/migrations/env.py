"""Runs the migrations on the connection that was handed over."""

from alembic import context

from resale.records import (  # noqa: F401 - their tables belong to the same base
    consignor_tables,
    device_tables,
    drill_tables,
    hold_tables,
    people_tables,
    photo_tables,
)
from resale.records.tables import Base

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Base.metadata,
    render_as_batch=True,
)
with context.begin_transaction():
    context.run_migrations()
