"""Raising what newer rules hold of the things that were saved before them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from resale.safety.raising import holds_found
from resale.services.actor import Actor
from resale.services.shop import Shop
from resale.services.transaction import transaction
from resale.storage.db.tables import ItemNow, ItemRow, ValuationRow
from resale.storage.ledger.effective_events import effective_events, event_key
from resale.storage.ledger.hold_rows import add_row, last_rows
from resale.storage.ledger.item_now import newest_valuations
from resale.storage.ledger.ledger import ids_on_hand

THE_RULES = Actor("the rules", "rules")
AT_ONCE = 500


def hold_by_newer_rules(shop: Shop, at: datetime) -> int:
    """Raise, for what is on hand, every hold that its readings show and that it never had.

    A rule that came with a newer program then holds what was saved before it, on every screen and
    at the till alike. What a lead cleared is left alone.

    Parameters
    ----------
    shop : Shop
    at : datetime
        Now, in the shop's zone.

    Returns
    -------
    int
        Holds raised.
    """
    with Session(shop.records) as session:
        known = {(one.number, one.hold) for one in last_rows(session)}
        missing = [
            (item, number, hold, answers)
            for item, number, inputs, route in _on_hand(session)
            for hold, answers in holds_found(inputs, route).items()
            if (number, hold) not in known
        ]
    if not missing:
        return 0
    with transaction(shop.records, THE_RULES, at) as work:
        for item, number, hold, answers in missing:
            key, data = event_key("newer rules", number, hold), {"answers": list(answers)}
            add_row(work.session, item, hold, "raised", key, at, by=THE_RULES.name, data=data)
            work.log("held an item", number, hold=hold)
    return len(missing)


def _on_hand(session: Session) -> Iterator[tuple[int, str, dict[str, Any], str]]:
    """Items on hand as they were last read: on the bench, else in the file they came with."""
    ids = session.scalars(ids_on_hand().order_by(ItemNow.item_id)).all()
    # What was read of everything on hand is never all in memory.
    for at in range(0, len(ids), AT_ONCE):
        yield from _read(session, ids[at : at + AT_ONCE])


def _read(session: Session, here: Sequence[int]) -> Iterator[tuple[int, str, dict[str, Any], str]]:
    events = effective_events()
    valued = select(ValuationRow.item_id, ValuationRow.inputs, ValuationRow.route)
    read = {
        row.item_id: (row.inputs, row.route)
        for row in session.execute(valued.where(ValuationRow.id.in_(newest_valuations(here))))
    }
    arrived = select(events.c.item_id, events.c.data).where(
        events.c.what == "taken_in", events.c.item_id.in_(here)
    )
    for item, data in session.execute(arrived):
        read.setdefault(item, ({"choices": data.get("choices", {})}, ""))
    lines = select(ItemRow).where(ItemRow.id.in_(here)).order_by(ItemRow.id)
    for row in session.scalars(lines):
        inputs, route = read.get(row.id, ({}, ""))
        line = {"kind": row.kind, "label": row.label, "size": row.size, "note": row.note}
        yield row.id, row.number, {**line, **inputs}, route
