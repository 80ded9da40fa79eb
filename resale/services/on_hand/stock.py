"""Items on hand as the rail sees them: where they are, what they are worth, what holds them."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

import numpy as np
from sqlalchemy import select
from sqlalchemy.orm import Session

from resale.garments.rulebook.readings import Readings
from resale.services.on_hand.without_kind import WithoutKind, without_kind
from resale.services.shop import Shop
from resale.services.standing.saved import saved_standings
from resale.services.standing.standing import Standing
from resale.storage.db.tables import ValuationRow
from resale.storage.items.latest_readings import Only, items_read, readings_of
from resale.storage.ledger.effective_events import effective_events
from resale.storage.ledger.item_now import newest_valuations
from resale.storage.ledger.ledger import ItemOnHand, ids_on_hand, items_on_hand
from resale.storage.ledger.standing_before import watched_from

Place = Literal["ready", "look", "mend", "held", "pass_on", "on_rail"]
STANDINGS: dict[Place, str] = {
    "ready": "Ready",
    "look": "Look first",
    "mend": "Mend first",
    "held": "Held",
    "pass_on": "Pass on",
    "on_rail": "On the rail",
}
_BY_ROUTE: dict[str, Place] = {
    "put_out": "ready",
    "mend_first": "mend",
    "hold": "held",
    "pass_on": "pass_on",
}


@dataclass(frozen=True)
class Hanging:
    """How an item came to the rail and what was planned for it then.

    Attributes
    ----------
    plan : tuple of (int or None)
        Ticket of each period in minor units, None from where it is passed on; empty where it was
        put out without a plan.
    begun : date
        From when its periods are counted: the day it went out, or came in by file.
    """

    out: date
    plan: tuple[int | None, ...]
    begun: date


@dataclass(frozen=True)
class Stock:
    """What stands in the back room and on the rail, item by item.

    Attributes
    ----------
    estimate, ticket : ndarray
        By the prices in use now, in minor units; the ticket is the rounded estimate.
    standings : tuple of Standing
        How each item stands: the answer that every other screen gives as well.
    day : date
        The day on which it was looked at.
    saved : dict of item number to (model id, ticket)
        What the newest valuation said, in minor units.
    aside : tuple of WithoutKind
        Things without a kind: they stand in no array.
    """

    items: tuple[ItemOnHand, ...]
    readings: Readings
    estimate: np.ndarray
    ticket: np.ndarray
    standings: tuple[Standing, ...]
    day: date
    hanging: dict[str, Hanging]
    saved: dict[str, tuple[str, int]]
    aside: tuple[WithoutKind, ...] = ()

    def __len__(self) -> int:
        return len(self.items)

    def place(self, row: int) -> Place:
        """Where an item stands; a hold goes before all else."""
        return place_of(self.standings[row])


def place_of(standing: Standing) -> Place:
    """Where an item stands on the Rail; a hold goes before all else."""
    if standing.on_rail and not standing.holds:
        return "on_rail"
    if (standing.look_first or standing.unpriced) and not standing.holds:
        return "look"
    return _BY_ROUTE[standing.route]


def stock_of(shop: Shop, today: date, only: Collection[int] | None = None) -> Stock:
    """Look at what is on hand and whose kind the rule book has.

    Parameters
    ----------
    shop : Shop
    today : date
        The shop's own day.
    only : collection of int, optional
        Ids of items on hand; all of them where omitted.
    """
    every = items_on_hand(shop.records, only=only)
    which = ids_on_hand() if only is None else list(only)
    on_hand = [one for one in every if one.kind in shop.book.kinds]
    with Session(shop.records) as session:
        read = {one.number: one for one in items_read(session, which).values()}
        hanging, saved = _hanging(session, which), _saved(session, which)
    ids = {one.id: number for number, one in read.items()}
    readings = readings_of([read[one.number] for one in on_hand], shop.book)
    values = shop.valuer.value(readings)
    minor = 10**shop.money.decimals
    standings = saved_standings(shop, [one.number for one in on_hand], today)
    return Stock(
        tuple(on_hand),
        readings,
        np.rint(values.estimate * minor).astype(int),
        np.rint(values.ticket * minor).astype(int),
        tuple(standings[one.number] for one in on_hand),
        today,
        {ids[item]: one for item, one in hanging.items() if item in ids},
        {ids[item]: one for item, one in saved.items() if item in ids},
        tuple(without_kind(shop, every, today)),
    )


def _hanging(session: Session, only: Only) -> dict[int, Hanging]:
    """Read for each item when it was last put out, and the plan last agreed for it."""
    events = effective_events()
    query = (
        select(events.c.item_id, events.c.what, events.c.day, events.c.data)
        .where(events.c.what.in_(("put_out", "ticketed")), events.c.item_id.in_(only))
        .order_by(events.c.day, events.c.id)
    )
    found: dict[int, Hanging] = {}
    for item, what, day, data in session.execute(query):
        if what == "put_out":
            found[item] = Hanging(day, tuple(data.get("plan", ())), watched_from(data, day))
        elif item in found and data.get("plan"):
            found[item] = replace(found[item], plan=tuple(data["plan"]))
    return found


def _saved(session: Session, only: Only) -> dict[int, tuple[str, int]]:
    query = select(ValuationRow.item_id, ValuationRow.model_id, ValuationRow.ticket)
    newest = newest_valuations(only)
    rows = session.execute(query.where(ValuationRow.id.in_(newest)))
    return {item: (model, ticket) for item, model, ticket in rows}
