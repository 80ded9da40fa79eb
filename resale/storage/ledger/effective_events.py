"""Events as they hold after corrections, as something to select from."""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, date, datetime
from functools import cache
from typing import Any

from sqlalchemy import Select, Subquery, case, func, or_, select
from sqlalchemy.orm import aliased

from resale.storage.db.tables import EventRow, ItemNow
from resale.storage.db.utc import stored
from resale.storage.ledger.transitions import CORRECTED, Event


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


def effective_events(days: tuple[date, date] | None = None) -> Subquery:
    """Select events as they hold: corrections applied, struck ones left out.

    The same as `resale.storage.ledger.transitions.held`, over all items at once.

    Parameters
    ----------
    days : (date, date), optional
        No others need be looked at: those that were written for one of these days, both counted
        in, or moved to one. Some that were moved away are among them.
    """
    return _held() if days is None else _held_on(days)


@cache
def _held() -> Subquery:
    """Those of all days: asked for by every page, and the same words each time."""
    return _held_on(None)


def _held_on(days: tuple[date, date] | None) -> Subquery:
    correction, other = aliased(EventRow), aliased(EventRow)
    newest = (
        select(func.max(other.id))
        .where(other.corrects == EventRow.id)
        .correlate(EventRow)
        .scalar_subquery()
    )
    query = (
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
    )
    if days is not None:
        moved = select(other.corrects).where(other.corrects.is_not(None), other.day.between(*days))
        query = query.where(or_(EventRow.day.between(*days), EventRow.id.in_(moved)))
    return query.subquery("held")


def last_steps(only: Select[Any] | None = None) -> Subquery:
    """Select the last event of each item that moved it, or gave it a price; or only of some.

    Parameters
    ----------
    only : select of ids, optional
        Which items; all of them where omitted.

    Returns
    -------
    Subquery
        As the kept rows say it (`ItemNow`).
    """
    kept = select(ItemNow.item_id, ItemNow.what, ItemNow.day, ItemNow.amount, ItemNow.currency)
    query = kept.where(ItemNow.event_id.is_not(None))
    if only is not None:
        query = query.where(ItemNow.item_id.in_(only))
    return query.subquery("last")
