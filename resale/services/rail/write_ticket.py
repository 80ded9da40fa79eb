"""Writing another price on a ticket by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from resale.services.actor import Actor
from resale.services.ledger.happened import write_down
from resale.services.on_hand.lines import RailLine
from resale.services.rail.rail_events import rail_event, refuse_held
from resale.services.shop import Shop
from resale.services.transaction import transaction


def write_ticket(
    shop: Shop,
    actor: Actor,
    line: RailLine,
    price: int,
    key: str,
    at: datetime,
    reason: str = "",
) -> None:
    """Write another price on a ticket; on the rail a lower one is a mark.

    Parameters
    ----------
    actor : Actor
        Whoever sets the price.
    price : int
        In minor units.
    key : str
        Made by the page once.
    reason : str
        Why this price; stands beside it with the name and the day.

    Raises
    ------
    RailFormError
        If the item is held.
    """
    refuse_held([line])
    if line.written and price == line.price:
        return
    lower = line.where == "on_rail" and price < line.price
    what = "marked_down" if lower else "ticketed"
    with transaction(shop.records, actor, at) as work:
        set_by_hand = replace(rail_event(line, what, key, at, price, hand=True), note=reason)
        write_down(work, shop, [set_by_hand])
