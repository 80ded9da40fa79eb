"""Writing what happened to items into the Ledger, with a line in the audit log for each item."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from resale.services.sent import Sent, once
from resale.services.settlement.entered import enter_events, with_terms
from resale.services.shop import Shop
from resale.services.transaction import Work
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.ledger import events_of
from resale.storage.ledger.transitions import Where, follow, held
from resale.storage.ledger.write_events import WrittenEvent, write_events

ACTIONS: Mapping[str, str] = {
    "taken_in": "took an item in",
    "ticketed": "wrote a ticket",
    "put_out": "put an item out",
    "marked_down": "marked an item down",
    "sold": "sold an item",
    "returned": "took an item back",
    "withdrawn": "withdrew an item",
    "passed_on": "passed an item on",
    "corrected": "corrected the Ledger",
}
"""What is said of it in the audit log, by what happened."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """An event that stands in the Ledger, and where its item is now. Money in minor units."""

    event: int
    number: str
    what: str
    day: date
    amount_minor: int | None
    currency: str
    where: Where


def write_down(
    work: Work, shop: Shop, events: Sequence[NewEvent], action: str = ""
) -> list[WrittenEvent]:
    """Write events and what they mean for the accounts, all or none.

    Of what is new, each item gets a line in the audit log.

    Parameters
    ----------
    events : sequence of NewEvent
        Where an item has several, its last one names the line.
    action : str
        What the lines say instead.

    Raises
    ------
    NotSavedError, HeldError, LedgerError
        As `resale.storage.ledger.write_events.write_events` does.
    """
    events = with_terms(work, shop, events)
    written = write_events(
        work.session,
        events,
        currency=shop.settings.currency,
        at=work.at,
        by=work.actor.name,
    )
    enter_events(work, events, written)
    fresh = {new.number: new for new, one in zip(events, written, strict=True) if one.fresh}
    for number, new in fresh.items():
        work.log(action or ACTIONS[new.what], number)
    return written


def record(work: Work, shop: Shop, new: NewEvent, sent: Sent | None) -> Recorded:
    """Write one event, once for each key, and say how it stands.

    Parameters
    ----------
    sent : Sent or None
        How a device sent it.
    """

    def do() -> Recorded:
        written = write_down(work, shop, [new])[-1]
        return recorded(work, new.number, written)

    return once(work, sent, Recorded, do)


def recorded(work: Work, number: str, written: WrittenEvent) -> Recorded:
    """Say how an event of an item stands, and where the item is.

    Parameters
    ----------
    work : Work
        The transaction that wrote it.
    number : str
        Of the item.
    written : WrittenEvent
        The line.
    """
    lines, told = events_of(work.session, written.item), number.strip().upper()
    meant = next(one for one in lines if one.id == written.id)
    where = follow(held(lines), told).where
    return Recorded(meant.id, told, meant.what, meant.day, meant.amount, meant.currency, where)
