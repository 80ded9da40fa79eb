"""Taking items off and passing them on."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from resale.services.actor import Actor
from resale.services.ledger.append_events import write_down
from resale.services.on_hand.lines import RailLine
from resale.services.rail.rail_events import rail_event, refuse_held
from resale.services.shop import Shop
from resale.services.transaction import transaction


def pass_on(shop: Shop, actor: Actor, lines: Iterable[RailLine], key: str, at: datetime) -> int:
    """Pass items on, and give how many; what it brings is written when it is known.

    Parameters
    ----------
    actor : Actor
        Whoever passes them on.
    key : str
        Made by the page once.

    Raises
    ------
    RailFormError
        If one of them is held: that is a lead's to decide, one by one.
    """
    gone = list(lines)
    refuse_held(gone)
    with transaction(shop.records, actor, at) as work:
        write_down(work, shop, [rail_event(line, "passed_on", key, at, None) for line in gone])
    return len(gone)
