"""A return: a buyer brings an item back."""

from __future__ import annotations

from datetime import datetime

from resale.services.actor import Actor
from resale.services.ledger.happened import Recorded, record
from resale.services.sent import Sent
from resale.services.shop import Shop
from resale.services.transaction import transaction
from resale.storage.ledger.event_checks import NewEvent


def take_back(
    shop: Shop, actor: Actor, back: NewEvent, at: datetime, sent: Sent | None = None
) -> Recorded:
    """Take an item back; where no amount is given, for what was paid.

    Parameters
    ----------
    actor : Actor
        Whoever takes it back.
    at : datetime
        Now, in the shop's zone.
    sent : Sent, optional
        How a device sent it, so that it is done once.

    Raises
    ------
    LedgerError
        If it was not sold, or more is given back than was paid.
    """
    with transaction(shop.records, actor, at) as work:
        return record(work, shop, back, sent)
