"""Whether the clock of a machine can be right, as far as the records can tell."""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import Engine, select

from resale.storage.db.people_tables import AuditEntryRow
from resale.storage.db.tables import ValuationRow
from resale.storage.db.utc import told

CLOCKS_DIFFER = timedelta(hours=1)
"""Clocks of two machines of a shop may differ by less without harm."""


def ahead_of_clock(records: Engine, now: datetime) -> datetime | None:
    """Find what was written down later than now; None where nothing was.

    The last line written is the newest unless a clock was changed in between.

    Parameters
    ----------
    now : datetime
        By the clock of this machine.

    Returns
    -------
    datetime or None
        When it was written, by the clock of then.
    """
    newest = [
        select(table.made_at).order_by(table.id.desc()).limit(1).scalar_subquery()
        for table in (AuditEntryRow, ValuationRow)
    ]
    with records.connect() as connection:
        written = [told(one) for one in connection.execute(select(*newest)).one() if one]
    last = max(written, default=None)
    return last if last is not None and last > now + CLOCKS_DIFFER else None
