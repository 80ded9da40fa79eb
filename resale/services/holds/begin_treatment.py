"""Entering that a held item is being treated: its quarantine runs from there."""

from __future__ import annotations

from datetime import date, datetime

from resale.services.actor import Actor
from resale.services.shop import Shop
from resale.services.transaction import transaction
from resale.storage.ledger import write_holds


def begin_treatment(
    shop: Shop, actor: Actor, number: str, hold: str, day: date, how: str, key: str, at: datetime
) -> bool:
    """Start the clock of a hold that has one.

    Parameters
    ----------
    actor : Actor
        Whoever treats it.
    hold : str
        Id of the hold.
    day : date
        On which the treatment began.
    how : str
        Cold or heat, the temperature at the core and for how long.
    key : str
        Made by the page once; sent again with the same key, it writes nothing new.

    Returns
    -------
    bool
        Whether it is new.

    Raises
    ------
    NotSavedError
        If there is no such item.
    HoldError
        If the hold is not open, has no quarantine, or the day or the words cannot be.
    """
    with transaction(shop.records, actor, at) as work:
        fresh = write_holds.begin_treatment(
            work.session, number, hold, day, note=how, by=actor.name, key=key, at=at
        )
        if fresh:
            work.log("began a treatment", number.strip().upper(), hold=hold)
    return fresh
