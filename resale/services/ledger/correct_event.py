"""Correcting a line of the Ledger, or saying that it never happened."""

from __future__ import annotations

from datetime import datetime

from resale.services.actor import Actor
from resale.services.ledger.append_events import Recorded, record
from resale.services.shop import Shop
from resale.services.transaction import transaction
from resale.storage.ledger.event_checks import NewEvent


def correct_event(shop: Shop, actor: Actor, correction: NewEvent, at: datetime) -> Recorded:
    """Write what should stand instead of a line; the line itself stays.

    Parameters
    ----------
    actor : Actor
        The lead who corrects it.
    at : datetime
        Now, in the shop's zone.

    Raises
    ------
    LedgerError
        If the line cannot be corrected so.
    """
    with transaction(shop.records, actor, at) as work:
        return record(work, shop, correction, None)
