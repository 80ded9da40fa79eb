"""A sale at the till."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from resale.services.actor import Actor
from resale.services.ledger.happened import Recorded, record
from resale.services.ledger.ticket_price import price_on_ticket
from resale.services.sent import Sent
from resale.services.shop import Shop
from resale.services.transaction import transaction
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.ledger import item_life


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
    if sale.amount is None:
        sale = replace(sale, amount=price_on_ticket(item_life(shop.records, sale.number)))
    with transaction(shop.records, actor, at) as work:
        return record(work, shop, sale, sent)
