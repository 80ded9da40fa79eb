"""A sale at the till."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

from sqlalchemy.orm import Session

from resale.services.actor import Actor
from resale.services.ledger.append_events import Recorded, record
from resale.services.sent import Sent
from resale.services.shop import Shop
from resale.services.standing.saved import saved_standings
from resale.services.transaction import transaction
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.ledger import events_of, item_row
from resale.storage.ledger.transitions import follow, held


def sell(
    shop: Shop, actor: Actor, sale: NewEvent, at: datetime, sent: Sent | None = None
) -> Recorded:
    """Sell an item; where no amount is given, at what its ticket says.

    Parameters
    ----------
    actor : Actor
        Whoever sells it.
    at : datetime
        Now, in the shop's zone.
    sent : Sent, optional
        How a device sent it, so that it is done once.

    Raises
    ------
    NotSavedError
        If there is no such item.
    HeldError
        If it is held.
    LedgerError
        If it cannot be sold, or nobody ever said a price.
    KeyTakenError
        If the device's key came with something else.
    """
    with transaction(shop.records, actor, at) as work:
        if sale.amount is None:
            sale = replace(sale, amount=asking_price(work.session, shop, sale.number, at.date()))
        return record(work, shop, sale, sent)


def asking_price(session: Session, shop: Shop, number: str, today: date) -> int | None:
    """What a thing's ticket says, in minor units; where none was written, what is suggested.

    Parameters
    ----------
    session : Session
    shop : Shop
        By whose prices one is suggested.
    number : str
        Of the item.
    today : date

    Raises
    ------
    NotSavedError
        If there is no such item.
    """
    item = item_row(session, number)
    state = follow(held(events_of(session, item.id)), item.number)
    if state.ticket is not None:
        return state.ticket
    standing = saved_standings(shop, [item.number], today).get(item.number)
    # A thing without a kind may have no price yet: it is never given away for nothing.
    return (standing.price or None) if standing else None
