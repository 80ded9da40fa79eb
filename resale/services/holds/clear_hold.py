"""Clearing a hold: a lead's word, with a reason."""

from __future__ import annotations

from datetime import datetime

from resale.services.actor import Actor
from resale.services.shop import Shop
from resale.services.transaction import transaction
from resale.storage.ledger.write_holds import Clearing, HoldError
from resale.storage.ledger.write_holds import clear_hold as write_cleared


def clear_hold(
    shop: Shop, actor: Actor, number: str, hold: str, said: Clearing, key: str, at: datetime
) -> None:
    """Let an item go on its way.

    Parameters
    ----------
    actor : Actor
        A lead.
    hold : str
        Id of the hold.
    said : Clearing
        What the lead confirms, and why.
    key : str
        Made by the page once; sent again with the same key, it clears nothing more.

    Raises
    ------
    NotSavedError
        If there is no such item.
    HoldError
        If somebody else than a lead asks, it is not open, or something is missing of what has to
        be said.
    """
    if not actor.is_lead:
        raise HoldError("only a lead clears a hold", where=number, remedy="ask a lead")
    with transaction(shop.records, actor, at) as work:
        cleared = write_cleared(work.session, number, hold, said, by=actor.name, key=key, at=at)
        if cleared:
            work.log("cleared a hold", number.strip().upper(), hold=hold)
