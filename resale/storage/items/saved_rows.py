"""The rows that one save writes beside its item: the valuation, what happened, and its holds."""

from __future__ import annotations

import dataclasses
import hashlib
import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from resale.safety.raising import holds_found
from resale.storage.db.tables import EventRow, ItemRow, ValuationRow
from resale.storage.db.upsert import insert
from resale.storage.db.utc import stored
from resale.storage.items.new_save import NewSave
from resale.storage.items.stored_valuation import to_stored
from resale.storage.ledger.effective_events import event_key, event_values
from resale.storage.ledger.hold_rows import found_before, raise_saved

# Beside the event that takes an item in: its life in another shop.
BEFORE = "before"


def write_saved(session: Session, new: NewSave, item: ItemRow, at: datetime, by: str) -> None:
    """Write the valuation, that it was taken in and valued, and its holds; sent twice, once.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    new : NewSave
    item : ItemRow
        New, or the one that is valued again.
    at : datetime
        Now, with its zone.
    by : str
        Name of whoever read it.
    """
    values = valuation_values(new, item.id, at)
    found = holds_found(new.inputs, new.valued.route)
    before = found_before(session, item.id)
    session.execute(
        insert(session, ValuationRow)
        .values(values)
        .on_conflict_do_nothing(index_elements=["client_key", "inputs_digest"])
    )
    digest = values["inputs_digest"]
    valuation = session.scalar(
        select(ValuationRow.id).where(
            ValuationRow.client_key == new.key, ValuationRow.inputs_digest == digest
        )
    )
    data: dict[str, Any] = {
        "valuation": valuation,
        "ticket": new.valued.ticket,
        "model": new.model_id,
        "holds": found,
    }
    if new.decided is not None:
        data["decided"] = dict(new.decided)
    if new.terms is not None:
        data["terms"] = _plain_terms(new)
    money = {"amount": new.valued.estimate, "currency": new.valued.currency, "data": data}
    key = event_key("valued", new.key, digest)
    events = [event_values(item.id, "valued", key, at, by_whom=by, **money)]
    if new.number is None:
        arrived = event_key("taken_in", item.client_key)
        day = new.taken_in_on or at.date()
        came = {"day": day, "by_whom": by, **_from_elsewhere(new.before)}
        events.insert(0, event_values(item.id, "taken_in", arrived, at, **came))
    for event in events:
        session.execute(
            insert(session, EventRow)
            .values(event)
            .on_conflict_do_nothing(index_elements=["client_key"])
        )
    write_holds(session, new, item, found, before, at, by)


def _from_elsewhere(before: Mapping[str, Any] | None) -> dict[str, Any]:
    """Columns that say where an item was before it came here."""
    if before is None:
        return {}
    return {"note": f"from {before['shop']}, {before['number']}", "data": {BEFORE: dict(before)}}


def write_holds(
    session: Session,
    new: NewSave,
    item: ItemRow,
    found: Mapping[str, tuple[str, ...]],
    before: Mapping[str, Any] | None,
    at: datetime,
    by: str,
) -> None:
    """Write what a save holds, by its readings and by hand.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    new : NewSave
        With what was held by hand.
    item : ItemRow
    found : mapping of hold id to tuple of str
        What its readings hold it for now, with the answers that say so.
    before : mapping or None
        The same of the valuation before; None where there is none.
    at : datetime
        Now, with its zone.
    by : str
        Name of whoever read it.
    """
    sent = (new.key, inputs_digest(new.inputs))
    raise_saved(session, item, found, before, new.hand_raised, sent, at, by)


def inputs_digest(inputs: Mapping[str, Any]) -> str:
    """Short name of what was entered: with the client's key it tells a save from its repetition."""
    text = json.dumps(inputs, sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def valuation_values(new: NewSave, item_id: int, at: datetime) -> dict[str, Any]:
    """Columns of a valuation.

    Parameters
    ----------
    new : NewSave
    item_id : int
    at : datetime
        Now, with its zone.

    Returns
    -------
    dict
        Value by column; money in minor units.
    """
    valued = new.valued
    return {
        "item_id": item_id,
        "client_key": new.key,
        "inputs_digest": inputs_digest(new.inputs),
        "inputs": new.inputs,
        "result": to_stored(valued),
        "book_version": new.book_version,
        "book_fingerprint": new.book_fingerprint,
        "model_id": new.model_id,
        "currency": valued.currency,
        "estimate": valued.estimate,
        "low": valued.low,
        "high": valued.high,
        "ticket": valued.ticket,
        "tier": valued.tier,
        "route": valued.route,
        "made_at": stored(at),
    }


def _plain_terms(new: NewSave) -> dict[str, Any]:
    """Terms as JSON has them: no end is written as none."""
    plain = dataclasses.asdict(new.terms) if new.terms is not None else {}
    for step in plain.get("steps", ()):
        step["under"] = None if step["under"] == float("inf") else step["under"]
    return plain
