"""Saves that arrive again: a browser whose answer was lost repeats its save, hours later even."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from resale.storage.db.tables import ItemRow, ValuationRow
from resale.storage.items.new_save import NewSave
from resale.storage.items.saved_rows import inputs_digest


def gone_on_from(session: Session, new: NewSave) -> ItemRow | None:
    """Find the item of a save that arrived before and that another bench went on from.

    Writing such a save once more would undo what was changed meanwhile.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    new : NewSave
        What arrived.

    Returns
    -------
    ItemRow or None
    """
    before = arrived(session, new)
    if before is None:
        return None
    newest = select(ValuationRow).where(ValuationRow.item_id == before.item_id)
    last = session.scalar(newest.order_by(ValuationRow.id.desc()).limit(1))
    outdated = last is not None and last.client_key != new.key
    return session.get(ItemRow, before.item_id) if outdated else None


def arrived(session: Session, new: NewSave) -> ValuationRow | None:
    """Find what precisely this save wrote when it arrived before; None where it is new.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    new : NewSave
        What arrived: its key and its inputs tell it.

    Returns
    -------
    ValuationRow or None
    """
    return session.scalar(
        select(ValuationRow).where(
            ValuationRow.client_key == new.key,
            ValuationRow.inputs_digest == inputs_digest(new.inputs),
        )
    )
