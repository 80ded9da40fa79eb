"""Marking down what the plan has due."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from resale.services.actor import Actor
from resale.services.ledger.append_events import write_down
from resale.services.on_hand.lines import RailLine
from resale.services.rail.rail_events import rail_event
from resale.services.shop import Shop
from resale.services.transaction import transaction


def mark_down(shop: Shop, actor: Actor, lines: Iterable[RailLine], key: str, at: datetime) -> int:
    """Mark down all that the plan has due, and give how many these are.

    Parameters
    ----------
    actor : Actor
        Whoever marks them down.
    lines : iterable of RailLine
        What was picked; those that nothing is due on are passed over.
    key : str
        Made by the page once.

    Raises
    ------
    LedgerError
        If one of them is not on the rail any more.
    """
    due = [line for line in lines if line.due == "mark"]
    events = [rail_event(one, "marked_down", key, at, one.due_price) for one in due]
    with transaction(shop.records, actor, at) as work:
        write_down(work, shop, events)
    return len(due)
