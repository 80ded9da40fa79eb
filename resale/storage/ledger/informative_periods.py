"""Which price periods may speak of how price moves the speed of sale.

A file that holds only what sold says nothing of what hung unsold at a dearer ticket, so from it
every ticket looks as good as a cheaper one. Such a file still teaches prices, but not patience.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from sqlalchemy import Engine, Select, select
from sqlalchemy.orm import Session

from resale.selling.markdown.exposure import PricePeriods
from resale.storage.ledger.effective_events import effective_events

# Shops pass on or still hold far more than this of what they put out: common practice, no source.
LEAST_UNSOLD = 0.05


def telling_periods(
    engine: Engine, periods: PricePeriods, only: Select[Any] | None = None
) -> PricePeriods:
    """Leave out items that came with files, where hardly any of them stayed unsold.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    periods : PricePeriods
        Of all items.
    only : select of ids, optional
        Which items they are of; all of them where omitted.

    Returns
    -------
    PricePeriods
    """
    from_files = np.isin(periods.item, _from_files(engine, only))
    items = np.unique(periods.item[from_files])
    sold = np.unique(periods.item[from_files & periods.sold])
    if not len(items) or len(sold) <= (1 - LEAST_UNSOLD) * len(items):
        return periods
    return periods.rows(~from_files)


def _from_files(engine: Engine, only: Select[Any] | None) -> list[int]:
    """Ids of items that came with a file of past sales: it left word of how they were read."""
    events = effective_events()
    query = select(events.c.item_id, events.c.data).where(events.c.what == "taken_in")
    if only is not None:
        query = query.where(events.c.item_id.in_(only))
    with Session(engine) as session:
        return [item for item, data in session.execute(query) if data]
