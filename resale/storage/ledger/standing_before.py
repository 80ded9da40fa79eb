"""What stood in the shop before it used these records: on its rail, with the ticket that it has."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

from sqlalchemy import insert
from sqlalchemy.orm import Session

from resale.storage.db.tables import EventRow
from resale.storage.ledger.effective_events import event_key, event_values

# The day on which a thing came in by file: what was like it and sold before was never seen.
WATCHED = "watched_from"
# Such a ticket is the shop's own word, as one that is set by hand: no fit writes another.
OWN_TICKET = "as the shop's own list says"


def watched_from(data: Mapping[str, Any], day: date) -> date:
    """From which day on an item that was put out was watched; the same day, but for stock by file.

    Parameters
    ----------
    data : mapping
        As it stands beside the event.
    day : date
        Of the event.
    """
    said = data.get(WATCHED)
    return max(day, date.fromisoformat(said)) if said else day


def write_standing(
    session: Session,
    item_id: int,
    key: str,
    ticket: int,
    currency: str,
    day: date,
    at: datetime,
    by: str,
    *,
    on_rail: bool,
    plan: Sequence[int] = (),
    note: str = OWN_TICKET,
) -> None:
    """Write that an item has its ticket, and hangs on the rail where it does.

    It is not asked whether the item was looked over: what has its ticket already keeps it.

    Parameters
    ----------
    key : str
        Of the row that says so, so that it is written once.
    ticket : int
        In minor units.
    day : date
        Since when.
    plan : sequence of int, optional
        Tickets of the price periods from today on: marks go off the ticket that it has.
    note : str
        Whose word the ticket is.
    """
    what = "put_out" if on_rail else "ticketed"
    values = event_values(
        item_id,
        what,
        event_key("standing", key, what),
        at,
        day=day,
        amount=ticket,
        currency=currency,
        by_whom=by,
        note=note,
        data={"from_file": True, "hand": True, WATCHED: at.date().isoformat(), "plan": list(plan)},
    )
    session.execute(insert(EventRow).values(**values))
