"""How long items hung at which price, sold or not: what the speed of sale is learned from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import groupby
from typing import Any

import numpy as np
from sqlalchemy import Engine, Select, select
from sqlalchemy.orm import Session

from resale.pricing.valuation.valuer import Valuer
from resale.selling.markdown.exposure import PricePeriods
from resale.storage.items.latest_readings import items_read, readings_of
from resale.storage.ledger.effective_events import effective_events
from resale.storage.ledger.item_now import looked_at
from resale.storage.ledger.quiet_days import Unseen, unseen
from resale.storage.ledger.standing_before import watched_from
from resale.storage.ledger.transitions import STEPS, Event

# An item hung for a part of the day on which it was put out, whether it sold on it or not: to
# count that part for sales alone would make the first day's chance of a sale near certain.
SHORTEST = 0.5
_OFF_THE_RAIL = frozenset({"sold", "withdrawn", "passed_on"})


@dataclass(frozen=True)
class Stretch:
    """Days that an item hung at one price, in minor units.

    Attributes
    ----------
    item : int
        Id of the item.
    days : float
        Above 0; days of which nothing is known are not among them.
    age : float
        Days that it had hung before.
    sold : bool
        Whether it sold at the end.
    guessed : bool
        Whether the day of a mark-down is not known: its days are then halved between both prices.
    """

    item: int
    price: int
    first: date
    days: float
    age: float
    sold: bool
    guessed: bool = False


def stretches(engine: Engine, today: date, only: Select[Any] | None = None) -> list[Stretch]:
    """List every stretch of days at one price, those that still last included.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    today : date
        The shop's own day, on which what still hangs is cut off.
    only : select of ids, optional
        Which items; all of them where omitted.

    Returns
    -------
    list of Stretch
        Money in minor units.

    Notes
    -----
    What came in by file as it hung is watched from that day on: of the things that hung beside it
    before, those that sold are not in the file. Quiet spells (`quiet_days`) are left out as well.
    """
    events = effective_events()
    columns = (events.c.item_id, events.c.id, events.c.what, events.c.day, events.c.amount)
    query = (
        select(*columns, events.c.data)
        .where(events.c.what.in_([what for what in STEPS if what != "taken_in"]))
        .order_by(events.c.item_id, events.c.day, events.c.id)
    )
    if only is not None:
        query = query.where(events.c.item_id.in_(only))
    with Session(engine) as session:
        rows = session.execute(query).all()
        lost = unseen(session, today)
    found: list[Stretch] = []
    for item, steps in groupby(rows, key=lambda row: row.item_id):
        life = [Event(s.id, s.what, s.day, s.amount, data=s.data) for s in steps]
        found += _stretches_of(item, life, today, lost)
    return found


def demand_periods(engine: Engine, valuer: Valuer, today: date) -> PricePeriods:
    """Price periods against what the present model says of each item.

    One model for all items, old and new, so that a ratio means the same everywhere; a stored
    valuation rests on whatever was known that day. Of a large shop, some of its items.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    valuer : Valuer
        The present one.
    today : date
        The shop's own day.

    Returns
    -------
    PricePeriods
    """
    only = looked_at(engine)
    hung = stretches(engine, today, only)
    with Session(engine) as session:
        read = items_read(session, only)
    ids = sorted({one.item for one in hung if read[one.item].kind in valuer.book.kinds})
    if not ids:
        return PricePeriods.none()
    values = valuer.value(readings_of([read[item] for item in ids], valuer.book))
    place = {item: row for row, item in enumerate(ids)}
    known = [one for one in hung if one.item in place]
    rows = np.array([place[one.item] for one in known], dtype=np.intp)
    price = np.array([one.price for one in known], dtype=float) / 10**valuer.terms.decimals
    return PricePeriods(
        np.array([one.item for one in known], dtype=np.intp),
        values.kinds[rows],
        price / values.estimate[rows],
        np.array([one.days for one in known]),
        np.array([one.sold for one in known], dtype=bool),
        age=np.array([one.age for one in known]),
    )


def _stretches_of(item: int, life: Sequence[Event], today: date, lost: Unseen) -> Iterator[Stretch]:
    hangs, price, last_ticket, hung = False, None, None, 0.0
    begun, watched = date.min, date.min
    ends = [*((one.day, one.what) for one in life), (today, "")]
    for event, (last, what) in zip([None, *life], ends, strict=True):
        if event is not None:
            hangs, price, last_ticket = _after(event, hangs, price, last_ticket)
            begun = event.day
            if event.what == "put_out":
                watched = watched_from(event.data, event.day)
        if not hangs or event is None:
            continue
        ends_here = what in _OFF_THE_RAIL or not what
        first = max(begun, min(watched, last))
        seen = _hung(first, last, ends=ends_here) - lost.days(first, last)
        if what == "sold":
            seen = max(seen, SHORTEST)
        if price is not None and seen > 0:
            age = hung + (first - begun).days
            yield from _parted(Stretch(item, price, first, seen, age, what == "sold"), last_ticket)
        hung += max(_hung(begun, last, ends=ends_here), 0.0)


def _after(
    event: Event, hangs: bool, price: int | None, last_ticket: int | None
) -> tuple[bool, int | None, int | None]:
    """Whether it hangs after an event, at which price, and the last ticket where a file says."""
    if event.what == "put_out":
        hangs, last_ticket = True, event.data.get("last_ticket")
    elif event.what in _OFF_THE_RAIL:
        hangs, last_ticket = False, None
    if event.what in ("ticketed", "put_out", "marked_down"):
        price = event.amount or price
    return hangs, price, last_ticket


def _hung(first: date, last: date, *, ends: bool) -> float:
    """Days hung; a ticket that was replaced on its first day counts for nothing."""
    days = float((last - first).days)
    # What is put out ahead, for tomorrow, does not hang yet.
    return max(days, SHORTEST) if ends and days >= 0 else days


def _parted(one: Stretch, last_ticket: int | None) -> Iterator[Stretch]:
    """Halve a stretch between two tickets, where a file names the last one and not its day."""
    if last_ticket is None or last_ticket >= one.price:
        yield one
        return
    half = one.days / 2
    yield replace(one, days=half, sold=False, guessed=True)
    yield replace(one, price=last_ticket, days=half, age=one.age + half, guessed=True)
