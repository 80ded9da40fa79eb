"""What the ticket of an item says."""

from __future__ import annotations

from resale.storage.ledger.ledger import ItemLife
from resale.storage.ledger.transitions import VALUED


def price_on_ticket(life: ItemLife) -> int | None:
    """Give what its ticket says: the last price recorded, or that of the newest valuation.

    Returns
    -------
    int or None
        Minor units; None where nobody ever said a price.
    """
    if life.state.price is not None:
        return life.state.price
    valued = [event for event in life.held if event.what == VALUED]
    return valued[-1].data.get("ticket") if valued else None
