"""Events as they hold after corrections, as something to select from."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Select, Subquery, case, func, select
from sqlalchemy.orm import aliased

from resale.storage.db.tables import EventRow
from resale.storage.db.utc import stored
from resale.storage.ledger.transitions import CORRECTED, STEPS, Event


def event_key(*parts: str) -> str:
    """Make a key that is the same whenever the same thing is written down again."""
    return hashlib.sha256(json.dumps(parts).encode()).hexdigest()


def event_values(item_id: int, what: str, key: str, at: datetime, **more: Any) -> dict[str, Any]:
    """Columns of an event; its day is that of `at`, in the zone of `at`, where none is given.

    Parameters
    ----------
    item_id : int
    what : str
        What happened, such as ``sold``.
    key : str
        Makes writing twice write once.
    at : datetime
        Now, with its zone.
    **more
        Further columns, such as ``amount`` in minor units, ``by_whom`` and ``data``.

    Returns
    -------
    dict
        Value by column.
    """
    plain: dict[str, Any] = {
        "amount": None,
        "currency": "",
        "note": "",
        "by_whom": "",
        "data": {},
        "corrects": None,
        "strikes": False,
        "day": at.date(),
    }
    made_at = stored(at)
    own = {"item_id": item_id, "what": what, "client_key": key, "made_at": made_at}
    return {**plain, **more, **own}


def event_of(row: EventRow) -> Event:
    """Turn a row into a value."""
    return Event(
        row.id,
        row.what,
        row.day,
        row.amount,
        row.currency,
        row.note,
        row.by_whom,
        row.data,
        row.corrects,
        row.strikes,
        row.made_at.replace(tzinfo=UTC),
    )


def effective_events() -> Subquery:
    """Select events as they hold: corrections applied, struck ones left out.

    The same as `resale.storage.ledger.transitions.held`, over all items at once.
    """
    correction, other = aliased(EventRow), aliased(EventRow)
    newest = (
        select(func.max(other.id))
        .where(other.corrects == EventRow.id)
        .correlate(EventRow)
        .scalar_subquery()
    )
    return (
        select(
            EventRow.id,
            EventRow.item_id,
            EventRow.what,
            func.coalesce(correction.day, EventRow.day).label("day"),
            case((correction.id.is_(None), EventRow.amount), else_=correction.amount).label(
                "amount"
            ),
            EventRow.currency,
            EventRow.note,
            EventRow.by_whom,
            EventRow.data,
        )
        .outerjoin(correction, correction.id == newest)
        .where(EventRow.what != CORRECTED, func.coalesce(correction.strikes, False).is_(False))
        .subquery("held")
    )


def last_steps(
    steps: Collection[str] = tuple(STEPS), only: Select[tuple[int]] | None = None
) -> Subquery:
    """Select the last event of each item that moved it, or gave it a price; or only of some.

    Parameters
    ----------
    steps : collection of str
        Events that count.
    only : select of ids, optional
        Which items; all of them where omitted.

    Returns
    -------
    Subquery
    """
    events = effective_events()
    order = func.row_number().over(
        partition_by=events.c.item_id, order_by=(events.c.day.desc(), events.c.id.desc())
    )
    counted = select(events, order.label("place")).where(events.c.what.in_(steps))
    if only is not None:
        counted = counted.where(events.c.item_id.in_(only))
    numbered = counted.subquery()
    return select(numbered).where(numbered.c.place == 1).subquery("last")
