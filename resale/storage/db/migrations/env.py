"""Runs the migrations on the connection that was handed over."""

from alembic import context

from resale.storage.db import (
    account_tables,  # noqa: F401 - their tables belong to the same base
    consignor_tables,  # noqa: F401 - their tables belong to the same base
    device_tables,  # noqa: F401 - their tables belong to the same base
    drill_tables,  # noqa: F401 - their tables belong to the same base
    hold_tables,  # noqa: F401 - their tables belong to the same base
    people_tables,  # noqa: F401 - their tables belong to the same base
    photo_tables,  # noqa: F401 - their tables belong to the same base
    second_step_tables,  # noqa: F401 - their tables belong to the same base
    shared_tables,  # noqa: F401 - their tables belong to the same base
)
from resale.storage.db.tables import Base

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Base.metadata,
    render_as_batch=True,
)
with context.begin_transaction():
    context.run_migrations()
