"""Putting items out on the rail, each with its ticket and its plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from resale.services.actor import Actor
from resale.services.ledger.append_events import Recorded, recorded, write_down
from resale.services.on_hand.lines import RailLine
from resale.services.rail.rail_events import rail_event, refuse_held
from resale.services.sent import Sent, once
from resale.services.shop import Shop
from resale.services.transaction import Work, transaction
from resale.storage.ledger.event_checks import NewEvent


def put_out(shop: Shop, actor: Actor, lines: Sequence[RailLine], key: str, at: datetime) -> int:
    """Write tickets where there are none yet, and put the items out with their plan.

    Parameters
    ----------
    actor : Actor
        Whoever puts them out.
    lines : sequence of RailLine
        What was picked.
    key : str
        Made by the page once; sent again with the same key, it writes nothing new.

    Returns
    -------
    int
        Items put out.

    Raises
    ------
    RailFormError
        If one of them is held.
    LedgerError
        If one of them cannot go out.
    """
    refuse_held(lines)
    events = [event for line in lines for event in _events(line, key, at)]
    with transaction(shop.records, actor, at) as work:
        write_down(work, shop, events)
    return len(lines)


def put_out_by_plan(
    shop: Shop, actor: Actor, line: RailLine, at: datetime, sent: Sent, note: str = ""
) -> Recorded:
    """Put one item out as the Rail does, for a device that names no price.

    Parameters
    ----------
    shop : Shop
    actor : Actor
        The device.
    line : RailLine
        The item on hand.
    at : datetime
        Now, in the shop's zone.
    sent : Sent
        How it was sent, so that it is done once.
    note : str
        Stands beside it.

    Raises
    ------
    RailFormError
        If it is held.
    KeyTakenError
        If the device's key came with something else.
    """

    def do(work: Work) -> Recorded:
        refuse_held([line])
        *before, out = _events(line, sent.key, at)
        written = write_down(work, shop, [*before, replace(out, note=note)])[-1]
        return recorded(work, line.number, written)

    with transaction(shop.records, actor, at) as work:
        return once(work, sent, Recorded, lambda: do(work))


def _events(line: RailLine, key: str, at: datetime) -> list[NewEvent]:
    plan = _plan_from(line)
    out = rail_event(line, "put_out", key, at, None, plan=plan)
    return [out] if line.written else [rail_event(line, "ticketed", key, at, line.price), out]


def _plan_from(line: RailLine) -> list[int | None]:
    """Give the plan from the price on its ticket: no later mark may lie above it."""
    rest = [None if ticket is None else min(ticket, line.price) for ticket in line.plan]
    return [line.price, *rest[1:]]
