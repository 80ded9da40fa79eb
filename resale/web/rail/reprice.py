"""After a new fit: what it says of the items on hand, before and after, to be accepted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from resale.storage.items.store import NewSave, item_numbered, save_items
from resale.storage.ledger.effective_events import event_key
from resale.web.access.current_user import my_name
from resale.web.bench.form import entry_from_inputs
from resale.web.core.shop import Shop
from resale.web.rail import events as rail_events
from resale.web.rail.lines import Rail, RailLine


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


def changes_of(shop: Shop, rail: Rail) -> list[Change]:
    """List items that were last valued by other prices and would now get another ticket."""
    found = []
    for line in rail.lines:
        saved = rail.stock.saved.get(line.number)
        if saved is None or saved[0] == shop.model_id or line.standing == "held":
            continue
        after = int(rail.stock.ticket[line.row])
        if after != saved[1]:
            plan = _fresh_plan(shop, rail, line)
            found.append(Change(line, saved[1], after, _ticket(rail, line, plan), plan))
    return found


def accept(shop: Shop, changes: Sequence[Change], key: str, at: datetime) -> int:
    """Write a valuation for each, and another ticket where one was written."""
    save_items(shop.records, [_save(shop, change.line, key) for change in changes], at)
    priced = [(one.line, one.ticket, one.plan) for one in changes if one.ticket is not None]
    rail_events.reprice(shop, priced, key, at)
    return len(changes)


def _fresh_plan(shop: Shop, rail: Rail, line: RailLine) -> tuple[int | None, ...]:
    planned = rail.outlook.compared.plan.tickets[line.row] * 10**shop.money.decimals
    return tuple(None if np.isnan(ticket) else round(ticket) for ticket in planned)


def _ticket(rail: Rail, line: RailLine, plan: tuple[int | None, ...]) -> int | None:
    """Give the ticket of the period it is in, where one was written and would be another."""
    price = plan[min(int(rail.outlook.period[line.row]), len(plan) - 1)]
    return price if line.written and price != line.price else None


def _save(shop: Shop, line: RailLine, key: str) -> NewSave:
    item = item_numbered(shop.records, line.number)
    entry = entry_from_inputs(shop.kind(item.kind), item.newest.inputs, item.number)
    return NewSave(
        key=event_key("reprice", key, line.number)[:64],
        number=item.number,
        kind=item.kind,
        label=item.label,
        size=item.size,
        note=item.note,
        inputs=item.newest.inputs,
        valued=shop.valued(shop.explain(entry)),
        book_version=shop.book.version,
        book_fingerprint=shop.book.fingerprint,
        model_id=shop.model_id,
        terms=shop.terms,
        by=my_name(),
    )
