"""Raising a hold by hand."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from resale.services.actor import Actor
from resale.services.sent import Sent, once
from resale.services.shop import Shop
from resale.services.transaction import transaction
from resale.storage.ledger.hold_rows import HandRaised
from resale.storage.ledger.write_holds import raise_hold as write_raised


@dataclass(frozen=True)
class Held:
    """What came of it.

    Attributes
    ----------
    fresh : bool
        Whether it is new: one that is open already is not raised twice.
    """

    fresh: bool


def raise_hold(
    shop: Shop,
    actor: Actor,
    number: str,
    raised: HandRaised,
    key: str,
    at: datetime,
    sent: Sent | None = None,
) -> bool:
    """Hold an item until a lead clears it.

    Parameters
    ----------
    actor : Actor
        Whoever raises it.
    raised : HandRaised
        Which hold, and what they write beside it.
    key : str
        Made by the page once; sent again with the same key, it raises nothing new.
    sent : Sent, optional
        How a device sent it, so that it is done once.

    Returns
    -------
    bool
        Whether it is new: one that is open already is not raised twice.

    Raises
    ------
    NotSavedError
        If there is no such item.
    HoldError, ReadingError
        If there is no such hold, nobody raises it by hand, or the note is too long.
    """
    with transaction(shop.records, actor, at) as work:

        def do() -> Held:
            fresh = write_raised(
                work.session, number, raised.hold, note=raised.note, by=actor.name, key=key, at=at
            )
            if fresh:
                work.log("held an item", number.strip().upper(), hold=raised.hold)
            return Held(fresh)

        fresh = once(work, sent, Held, do).fresh
    return fresh
