"""Taking back one's own line of today; anything else is a lead's correction."""

from __future__ import annotations

from datetime import UTC, datetime

from resale.services.actor import Actor
from resale.services.ledger.append_events import Recorded, record
from resale.services.sent import Sent
from resale.services.shop import Shop
from resale.services.transaction import Work, transaction
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.ledger import events_of, item_row
from resale.storage.ledger.transitions import CORRECTED, VALUED, Event, LedgerError, held


def undo_own(shop: Shop, actor: Actor, number: str, event: int, key: str, at: datetime) -> Recorded:
    """Say that a line which one wrote today never happened.

    Parameters
    ----------
    actor : Actor
        Whoever wrote it, and nobody else.
    number : str
        Of the item.
    event : int
        Id of the line.
    key : str
        Made by the page once.
    at : datetime
        Now, in the shop's zone.

    Raises
    ------
    NotSavedError
        If there is no such item.
    LedgerError
        If the line is somebody else's, of another day, or no line that stands.
    """
    with transaction(shop.records, actor, at) as work:
        line = own_line(work, number, event)
        new = NewEvent(number, CORRECTED, line.day, key, corrects=event, strikes=True)
        return record(work, shop, new, None)


def correct_own(
    shop: Shop, actor: Actor, correction: NewEvent, at: datetime, sent: Sent | None = None
) -> Recorded:
    """Correct a line which one wrote today.

    Parameters
    ----------
    actor : Actor
        Whoever wrote it, and nobody else.
    correction : NewEvent
        What should stand instead.
    at : datetime
        Now, in the shop's zone.
    sent : Sent, optional
        How a device sent it, so that it is done once.

    Raises
    ------
    NotSavedError
        If there is no such item.
    LedgerError
        If the line is somebody else's or of another day, or cannot be corrected so.
    """
    with transaction(shop.records, actor, at) as work:
        own_line(work, correction.number, correction.corrects or 0)
        return record(work, shop, correction, sent)


def own_line(work: Work, number: str, event: int) -> Event:
    """Find a line that stands and that one wrote today.

    Parameters
    ----------
    work : Work
        The transaction, and who asks.
    number : str
        Of the item.
    event : int
        Id of the line.

    Raises
    ------
    LedgerError
        If there is none.
    """
    lines = events_of(work.session, item_row(work.session, number).id)
    written = next((one for one in lines if one.id == event and one.what != VALUED), None)
    if written is None or written.what == CORRECTED:
        raise LedgerError(
            "there is no such line to take back",
            where=number,
            remedy="look at what is written of the item",
        )
    made = written.made_at or datetime.min.replace(tzinfo=UTC)
    if written.by != work.actor.name or made.astimezone(work.at.tzinfo).date() != work.at.date():
        raise LedgerError(
            f"{written.by or 'somebody'} wrote it on {made.date()}",
            where=number,
            remedy="one takes back one's own lines of today; ask a lead to correct it",
        )
    return next((one for one in held(lines) if one.id == event), written)
