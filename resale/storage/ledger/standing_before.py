"""What stood in the shop before it used these records: on its rail, with the ticket that it has."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import insert
from sqlalchemy.orm import Session

from resale.storage.db.tables import EventRow
from resale.storage.ledger.effective_events import event_key, event_values


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
        data={"from_file": True},
    )
    session.execute(insert(EventRow).values(**values))
