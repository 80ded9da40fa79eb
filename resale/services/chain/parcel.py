"""A thing on its way from one shop of a chain to another: what goes with it, and what stays.

What was read of it goes, its ticket, its photos and its life by days and amounts. Nothing goes
that a consignor agreed, and no note of the Ledger, as a note may name anybody.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, NamedTuple

from sqlalchemy import select
from sqlalchemy.orm import Session

from resale.errors import ResaleError
from resale.services.shop import Shop
from resale.storage.db.tables import EventRow, ItemNow, ItemRow
from resale.storage.items.saved_rows import BEFORE
from resale.storage.items.store import item_numbered
from resale.storage.ledger.brought import consignor_of
from resale.storage.ledger.effective_events import event_key
from resale.storage.ledger.ledger import HERE, ItemLife, item_life
from resale.storage.ledger.transitions import MOVED_TO, TICKETS, Event

PARCEL = "parcel"
"""Beside the event that sends a thing on: the parcel's key, by which the other shop knows it."""
WATCHED_DAYS = 60


class NotMovedError(ResaleError):
    """A thing cannot go to another shop of the chain."""


@dataclass(frozen=True)
class Parcel:
    """What goes with a thing. Money in minor units.

    Attributes
    ----------
    key : str
        The same whenever the same thing is sent on from the same place in its life.
    inputs : mapping
        What was read of it, as it stands with its newest valuation.
    ticket : int or None
        What its ticket says.
    taken_in_on, ticket_since : date or None
        Day on which the chain had it first, and since when it has that ticket.
    before : mapping
        Its life so far, as plain values: shop, number, currency and lines, the oldest first.
    on_its_way : bool
        Whether its shop has passed it on already.
    """

    key: str
    number: str
    kind: str
    inputs: Mapping[str, Any]
    ticket: int | None
    taken_in_on: date | None
    ticket_since: date | None
    before: Mapping[str, Any]
    on_its_way: bool


def parcel_of(shop: Shop, number: str, to: str) -> Parcel:
    """Pack a thing of a shop, or find it packed where it was sent on already.

    Parameters
    ----------
    shop : Shop
        That has it.
    number : str
        Of the thing.
    to : str
        Name of the shop that it goes to.

    Returns
    -------
    Parcel

    Raises
    ------
    NotSavedError
        If there is no such thing, or nothing was ever read of it.
    NotMovedError
        If it is not in the shop any more, or is a consignor's.
    """
    item = item_numbered(shop.records, number)
    life = item_life(shop.records, item.number)
    sent = next((one.data for one in life.held if MOVED_TO in one.data), {})
    here = life.state.where in HERE
    if not here and sent.get(MOVED_TO) != to:
        where = f"it went to {sent[MOVED_TO]}" if sent else "it is not in the shop any more"
        raise NotMovedError(where, where=item.number, remedy="look at its life in the Ledger")
    if consignor_of(shop.records, item.number):
        raise NotMovedError(
            "it belongs to somebody who agreed a share with this shop alone",
            where=item.number,
            remedy="sell it here, or give it back to them",
        )
    stood = [one for one in life.held if MOVED_TO not in one.data]
    tickets = [one for one in stood if one.what in TICKETS and one.amount == life.state.ticket]
    return Parcel(
        # One that was sent keeps the key that it was sent with, whatever the shop is called now.
        sent.get(PARCEL)
        or event_key("moved", shop.settings.name, item.client_key, str(stood[-1].id)),
        item.number,
        item.kind,
        item.newest.inputs,
        life.state.ticket,
        _first_day(stood),
        tickets[-1].day if tickets else None,
        {
            "shop": shop.settings.name,
            "number": item.number,
            "currency": shop.settings.currency,
            "lines": _lines(shop, life, stood),
        },
        on_its_way=not here,
    )


def _first_day(stood: list[Event]) -> date | None:
    return min((one.day for one in stood if one.what == "taken_in"), default=None)


def _lines(shop: Shop, life: ItemLife, stood: list[Event]) -> list[dict[str, Any]]:
    """Lines of its life that hold, those of shops before this one first."""
    earlier = [one.data[BEFORE] for one in life.held if BEFORE in one.data]
    lines = [line for one in earlier for line in one.get("lines", ())]
    name, currency = shop.settings.name, shop.settings.currency
    for one in stood:
        line: dict[str, Any] = {"shop": name, "day": one.day.isoformat(), "what": one.what}
        if one.amount is not None:
            line |= {"amount": one.amount, "currency": one.currency or currency}
        lines.append(line)
    return lines


def arrived(shop: Shop, keys: Collection[str]) -> dict[str, str]:
    """Which of some parcels arrived in a shop.

    Parameters
    ----------
    shop : Shop
        That they were sent to.
    keys : collection of str
        Of the parcels.

    Returns
    -------
    dict of str to str
        Number under which each arrived, by its key.
    """
    query = select(ItemRow.client_key, ItemRow.number).where(ItemRow.client_key.in_(keys))
    with Session(shop.records) as session:
        return dict(session.execute(query).all())


@dataclass(frozen=True, slots=True)
class OnTheWay:
    """A thing that one shop passed on to another, which has not taken it in."""

    number: str
    source: str
    target: str


def on_the_way(shops: Sequence[Shop], today: date) -> list[OnTheWay]:
    """List what was sent on and did not arrive, because something broke off in between.

    Parameters
    ----------
    shops : sequence of Shop
        Of the chain; what went to another is not looked for.
    today : date
        Some weeks before it are looked at.

    Returns
    -------
    list of OnTheWay
    """
    names = {one.settings.name for one in shops}
    found = []
    for source in shops:
        sent = _sent_lately(source, today - timedelta(days=WATCHED_DAYS))
        keys = [one.key for one in sent]
        # Asked of all: the other shop may be called otherwise since.
        there = {key for other in shops for key in arrived(other, keys)}
        found += [
            OnTheWay(one.number, source.settings.name, one.to)
            for one in sent
            if one.to in names and one.key not in there
        ]
    return found


class _Sent(NamedTuple):
    number: str
    to: str
    key: str


def _sent_lately(shop: Shop, since: date) -> list[_Sent]:
    query = (
        select(ItemRow.number, EventRow.data)
        .join(ItemNow, ItemNow.item_id == ItemRow.id)
        .join(EventRow, EventRow.id == ItemNow.event_id)
        .where(ItemNow.what == "passed_on", ItemNow.day > since)
    )
    with Session(shop.records) as session:
        rows = session.execute(query).all()
    return [
        _Sent(number, data[MOVED_TO], data.get(PARCEL, ""))
        for number, data in rows
        if MOVED_TO in data
    ]
