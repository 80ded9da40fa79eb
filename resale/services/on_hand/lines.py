"""Lines of the Rail's table: what a person who prices the rack wants to see of each item."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

import numpy as np
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from resale.selling.mending.mending import MendingPlan
from resale.selling.rail.balance import rail_width
from resale.services.on_hand.outlook import RailOutlook, outlook_of
from resale.services.on_hand.stock import STANDINGS, Place, Stock, place_of, stock_of
from resale.services.on_hand.without_kind import WithoutKind, period_of, tickets_by_habit
from resale.services.shop import Shop
from resale.services.standing.decide import mending_of as mending_plan
from resale.services.standing.desk import desk_of
from resale.services.standing.standing import HandPrice
from resale.storage.db.hold_tables import HoldEventRow
from resale.storage.db.people_tables import AuditEntryRow
from resale.storage.db.tables import EventRow, QuietSpellRow

_CACHE, _PLANS = "rail", "mending plans"
_MOST_PLANS = 20_000
WAITS = frozenset({"held", "look"})
"""Standings that get no ticket."""


@dataclass(frozen=True, slots=True)
class RailLine:
    """One item. Money in minor units.

    Attributes
    ----------
    written : bool
        Whether a ticket was written; else `price` is what the plan would write.
    why : str
        Reason for where it stands; empty where it is simply ready.
    hand : HandPrice or None
        Where a person set the price.
    due : str
        'mark', 'pass_on' or nothing.
    due_price : int
        What it should be marked down to.
    plan : tuple of (int or None)
        Planned tickets by period, to be kept when it is put out.
    out : date or None
        On the rail: when it went out, or got its present price.
    row : int
        Of the stock's arrays; -1 for a thing without a kind, which stands in none.
    """

    row: int
    number: str
    kind: str
    kind_name: str
    label: str
    size: str
    tier: int
    tier_name: str
    standing: Place
    why: str
    where: str
    price: int
    suggested: int
    written: bool
    hand: HandPrice | None
    next_mark: float
    ever: float
    days: float
    net: int
    width: float
    due: str
    due_price: int
    plan: tuple[int | None, ...]
    out: date | None

    @property
    def planned(self) -> bool:
        """Whether anything is known of how it sells; of a thing without a kind nothing is."""
        return self.row >= 0

    @property
    def waits(self) -> bool:
        """Whether it gets no ticket yet: held, or not looked over."""
        return self.standing in WAITS

    @property
    def unpriced(self) -> bool:
        """Whether it waits for a price alone."""
        return self.standing == "look" and not self.why.startswith("look first")

    @property
    def standing_name(self) -> str:
        """Where it stands, in words."""
        return STANDINGS[self.standing]


@dataclass(frozen=True)
class Rail:
    """Everything on hand, looked at once for one page."""

    stock: Stock
    outlook: RailOutlook
    lines: tuple[RailLine, ...]

    def numbered(self) -> dict[str, RailLine]:
        """Lines by item number."""
        return {line.number: line for line in self.lines}

    def ids(self) -> dict[str, int]:
        """Ids of the items by their numbers."""
        aside = (one.item for one in self.stock.aside)
        return {item.number: item.id for item in (*self.stock.items, *aside)}

    def due(self, what: str) -> list[RailLine]:
        """Lines that something is due on today."""
        return [line for line in self.lines if line.due == what]


def rail_of(shop: Shop, today: date) -> Rail:
    """Look at everything on hand; again only when something was written since.

    That takes long, and much memory, where much is on hand: a page that shows some of it asks
    `parts` and the index (`rail_index`).

    Parameters
    ----------
    shop : Shop
    today : date
        From which days on hand and marks that are due are counted.
    """
    with Session(shop.records) as session:
        last = tuple(
            session.scalar(select(func.max(row.id))) or 0
            for row in (EventRow, HoldEventRow, QuietSpellRow, AuditEntryRow)
        )
    key = (last, today)
    cached = shop.memory.get(_CACHE)
    if cached is None or cached[0] != key:
        cached = (key, looked(shop, today))
        shop.memory[_CACHE] = cached
    rail: Rail = cached[1]
    return rail


def looked(shop: Shop, today: date, only: Collection[int] | None = None) -> Rail:
    """Look at what is on hand, whether something happened or not.

    Parameters
    ----------
    shop : Shop
    today : date
    only : collection of int, optional
        Ids of items on hand; all of them where omitted.
    """
    stock = stock_of(shop, today, only)
    outlook = outlook_of(shop, stock, today)
    planned = [_line(shop, stock, outlook, row) for row in range(len(stock))]
    return Rail(stock, outlook, (*planned, *(_line_aside(shop, stock, one) for one in stock.aside)))


def mending_of(shop: Shop, stock: Stock, row: int) -> MendingPlan:
    """Say what mending would bring; a plan hangs on what was read and agreed, so it is made once.

    Parameters
    ----------
    shop : Shop
    stock : Stock
        What is on hand.
    row : int
        Of the item within it.
    """
    known: dict[tuple[object, ...], MendingPlan] = shop.memory.setdefault(_PLANS, {})
    one = stock.readings.row(row)
    agreed = stock.standings[row].share
    key = (int(one.kinds[0]), one.codes.tobytes(), one.labels, one.seasons, agreed)
    if key not in known:
        if len(known) >= _MOST_PLANS:
            known.clear()
        known[key] = mending_plan(desk_of(shop, stock.day), one, 0, agreed)
    return known[key]


def _line(shop: Shop, stock: Stock, found: RailOutlook, row: int) -> RailLine:
    item, kind = stock.items[row], shop.book.kinds[stock.items[row].kind]
    one, place = stock.standings[row], stock.place(row)
    tiers = [tier.id for tier in shop.book.book.tiers]
    tier = shop.book.book.tiers[tiers.index(one.tier)]
    due, due_price = _due(found, row, place)
    return RailLine(
        row,
        item.number,
        item.kind,
        kind.text.name,
        item.label,
        item.size,
        tiers.index(one.tier),
        shop.settings.tier_names.get(tier.id, tier.name),
        place,
        one.reason,
        item.state.where,
        one.price,
        one.suggested,
        one.written,
        one.hand,
        float(found.rest.next_mark[row]),
        float(found.rest.ever[row]),
        float(found.rest.days[row]),
        round(float(found.rest.shop[row]) * 10**shop.money.decimals),
        rail_width(item.kind, shop.settings.rail_widths),
        due,
        due_price,
        tuple(None if np.isnan(t) else round(t) for t in found.tickets[row]),
        item.state.since if item.state.where == "on_rail" else None,
    )


def _line_aside(shop: Shop, stock: Stock, one: WithoutKind) -> RailLine:
    """The line of a thing without a kind: its marks follow the shop's habit."""
    item, standing, place = one.item, one.standing, place_of(one.standing)
    hangs = item.state.where == "on_rail"
    out = stock.hanging.get(item.number) if hangs else None
    plan = tuple(out.plan if out and out.plan else tickets_by_habit(shop, standing.price))
    due, due_price = "", 0
    if place == "on_rail":
        period = period_of(shop, out.out if out else item.state.since, stock.day)
        planned = plan[period] if period < len(plan) else None
        if planned is None:
            due = "pass_on"
        elif planned < standing.price:
            due, due_price = "mark", planned
    return RailLine(
        -1,
        item.number,
        item.kind,
        one.what,
        item.label,
        item.size,
        -1,
        "",
        place,
        standing.reason,
        item.state.where,
        standing.price,
        standing.suggested,
        standing.written,
        standing.hand,
        0.0,
        0.0,
        0.0,
        0,
        rail_width(item.kind, shop.settings.rail_widths),
        due,
        due_price,
        plan,
        item.state.since if hangs else None,
    )


def _due(found: RailOutlook, row: int, standing: Place) -> tuple[str, int]:
    """Say what the plan asks for today of what hangs: a mark, or to let it go."""
    period = int(found.period[row])
    if standing != "on_rail":
        return "", 0
    if period >= found.tickets.shape[1] or np.isnan(found.tickets[row, period]):
        return "pass_on", 0
    planned = round(found.tickets[row, period])
    return ("mark", planned) if planned < round(found.price[row]) else ("", 0)
