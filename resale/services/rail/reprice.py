"""Pricing items on hand again after a new fit: a valuation each, and another ticket where due."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from resale.services.actor import Actor
from resale.services.items.entry import entry_from_inputs
from resale.services.items.save_item import to_save, write_saves
from resale.services.ledger.append_events import write_down
from resale.services.on_hand.lines import RailLine
from resale.services.rail.rail_events import rail_event, refuse_held
from resale.services.shop import Shop
from resale.services.standing.fresh import look_at
from resale.services.transaction import transaction
from resale.storage.items.new_save import NewSave
from resale.storage.items.store import item_numbered
from resale.storage.ledger.effective_events import event_key

ACTION = "priced an item again"


@dataclass(frozen=True)
class Change:
    """One item whose price the prices in use now see otherwise. Money in minor units.

    Attributes
    ----------
    before, after : int
        Rounded estimate, as saved and as it is now.
    ticket : int or None
        Ticket that would be written; None where none was written yet, or it stays as it is.
    plan : tuple of (int or None)
        Tickets by period that it follows from then on.
    """

    line: RailLine
    before: int
    after: int
    ticket: int | None
    plan: tuple[int | None, ...]


def reprice(shop: Shop, actor: Actor, changes: Sequence[Change], key: str, at: datetime) -> int:
    """Write a valuation for each, and another ticket where one was written; gives how many.

    Parameters
    ----------
    actor : Actor
        Whoever accepts the new prices.
    key : str
        Made by the page once.

    Raises
    ------
    RailFormError
        If one of the items is held.
    """
    priced = [one for one in changes if one.ticket is not None]
    refuse_held([one.line for one in priced])
    saves = [_save(shop, change.line, key, at) for change in changes]
    tickets = [
        rail_event(one.line, "ticketed", key, at, one.ticket, plan=list(one.plan)) for one in priced
    ]
    with transaction(shop.records, actor, at) as work:
        write_saves(work, saves, ACTION)
        write_down(work, shop, tickets)
    return len(changes)


def _save(shop: Shop, line: RailLine, key: str, at: datetime) -> NewSave:
    """Value it as it was read, its label line as it stands."""
    item = item_numbered(shop.records, line.number)
    entry = entry_from_inputs(shop.kind(item.kind), item.newest.inputs, item.number)
    own = event_key("reprice", key, line.number)[:64]
    return replace(
        to_save(shop, replace(entry, key=own), look_at(shop, entry, at.date())),
        kind=item.kind,
        label=item.label,
        size=item.size,
        note=item.note,
        inputs=item.newest.inputs,
    )
