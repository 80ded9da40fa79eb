"""Anything that happens to one item, as the Ledger's page or a device names it."""

from __future__ import annotations

from datetime import datetime

from resale.services.actor import Actor
from resale.services.ledger.append_events import Recorded, record
from resale.services.ledger.sell import sell
from resale.services.sent import Sent
from resale.services.shop import Shop
from resale.services.transaction import transaction
from resale.storage.ledger.event_checks import NewEvent


def write_event(
    shop: Shop, actor: Actor, new: NewEvent, at: datetime, sent: Sent | None = None
) -> Recorded:
    """Write down what happened to an item.

    Parameters
    ----------
    actor : Actor
        Whoever does it.
    at : datetime
        Now, in the shop's zone.
    sent : Sent, optional
        How a device sent it, so that it is done once.

    Raises
    ------
    NotSavedError
        If there is no such item.
    HeldError
        If it is held, and may neither be ticketed nor leave the shop.
    LedgerError
        If it cannot have happened.
    """
    if new.what == "sold":
        return sell(shop, actor, new, at, sent)
    with transaction(shop.records, actor, at) as work:
        return record(work, shop, new, sent)
