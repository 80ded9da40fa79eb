"""Writing another price on a ticket by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from resale.services.actor import Actor
from resale.services.ledger.append_events import write_down
from resale.services.on_hand.lines import RailLine
from resale.services.rail.rail_events import RailFormError, rail_event, refuse_held
from resale.services.shop import Shop
from resale.services.transaction import transaction
from resale.storage.ledger.effective_events import event_key
from resale.storage.ledger.event_checks import LONGEST


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
    shop : Shop
    actor : Actor
        Whoever sets the price.
    line : RailLine
        The item on hand.
    price : int
        In minor units.
    key : str
        Made by the page once.
    at : datetime
        Now, in the shop's zone.
    reason : str
        Why this price; stands beside it with the name and the day. Only the suggested price needs
        none.

    Raises
    ------
    RailFormError
        If the item is held, or another price than the suggested one has no reason.
    """
    refuse_held([line])
    if price != line.suggested and not reason:
        raise RailFormError(
            "the price has no reason", where=line.number, remedy="write why it is this one"
        )
    if line.written and price == line.price and reason == (line.hand.reason if line.hand else ""):
        return
    lower = line.where == "on_rail" and price < line.price
    what = "marked_down" if lower else "ticketed"
    with transaction(shop.records, actor, at) as work:
        set_by_hand = replace(
            rail_event(line, what, key, at, price, hand=bool(reason)), note=reason
        )
        write_down(work, shop, [set_by_hand])


def take_price_back(shop: Shop, actor: Actor, line: RailLine, key: str, at: datetime) -> None:
    """Take back a price that was set by hand: its ticket is the suggested one again.

    Parameters
    ----------
    actor : Actor
        Whoever takes it back.
    key : str
        Made by the page once.

    Raises
    ------
    RailFormError
        If the item is held, or no price was set by hand.
    """
    refuse_held([line])
    if line.hand is None:
        raise RailFormError(
            "no price was set by hand", where=line.number, remedy="set one where it should differ"
        )
    note = f"Taken back: {line.hand.reason}"[: LONGEST["note"]]
    back = rail_event(line, "ticketed", event_key("back", key), at, line.suggested)
    with transaction(shop.records, actor, at) as work:
        write_down(work, shop, [replace(back, note=note)])
