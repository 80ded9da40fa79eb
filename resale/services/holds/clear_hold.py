"""Clearing a hold: a lead's word, with a reason."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from resale.services.actor import Actor
from resale.services.sent import Sent, once
from resale.services.shop import Shop
from resale.services.transaction import transaction
from resale.storage.ledger.write_holds import Clearing, HoldError
from resale.storage.ledger.write_holds import clear_hold as write_cleared


@dataclass(frozen=True)
class Cleared:
    """What came of it.

    Attributes
    ----------
    fresh : bool
        Whether this call cleared it, not an earlier one with the same key.
    """

    fresh: bool


def clear_hold(
    shop: Shop,
    actor: Actor,
    number: str,
    hold: str,
    clearing: Clearing,
    key: str,
    at: datetime,
    sent: Sent | None = None,
) -> None:
    """Let an item go on its way.

    Parameters
    ----------
    actor : Actor
        A lead.
    hold : str
        Id of the hold.
    clearing : Clearing
        What the lead confirms, and why.
    key : str
        Made by the page once; sent again with the same key, it clears nothing more.
    sent : Sent, optional
        How a device sent it, so that it is done once.

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

        def do() -> Cleared:
            fresh = write_cleared(
                work.session, number, hold, clearing, by=actor.name, key=key, at=at
            )
            if fresh:
                work.log("cleared a hold", number.strip().upper(), hold=hold)
            return Cleared(fresh)

        once(work, sent, Cleared, do)
