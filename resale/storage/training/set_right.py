"""Readings that were set right: on the bench by another save, in practice by a lead's reading."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from sqlalchemy import func, select

from resale.storage.db.drill_tables import WholeItemRow
from resale.storage.db.people_tables import PersonRow
from resale.storage.db.tables import EventRow, ValuationRow
from resale.storage.db.utc import stored, told
from resale.storage.db.writing import Records, reading
from resale.storage.ledger.transitions import VALUED


@dataclass(frozen=True, slots=True)
class SetRight:
    """One thing as two people read it, the later reading after the earlier.

    Attributes
    ----------
    reader, later : str
        Names; empty where nobody was signed in.
    read, set : mapping of sign to option
        The two readings.
    """

    reader: str
    later: str
    read: Mapping[str, str]
    set: Mapping[str, str]
    at: datetime


def set_right_on_bench(records: Records, since: datetime) -> tuple[SetRight, ...]:
    """Find things that two people saved one after the other.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    since : datetime
        Only what was saved later than that, with its zone.
    """
    twice = (
        select(EventRow.item_id)
        .where(EventRow.what == VALUED, EventRow.made_at >= stored(since))
        .group_by(EventRow.item_id)
        .having(func.count(func.distinct(EventRow.by_whom)) > 1)
    )
    wanted = (
        select(EventRow.item_id, EventRow.by_whom, EventRow.made_at, EventRow.data)
        .where(EventRow.what == VALUED, EventRow.item_id.in_(twice))
        .order_by(EventRow.item_id, EventRow.id)
    )
    with reading(records) as session:
        rows = session.execute(wanted).all()
        keys = [row.data["valuation"] for row in rows if row.data.get("valuation")]
        inputs = select(ValuationRow.id, ValuationRow.inputs).where(ValuationRow.id.in_(keys))
        choices = {row.id: row.inputs.get("choices", {}) for row in session.execute(inputs)}
    return tuple(
        SetRight(
            one.by_whom,
            other.by_whom,
            choices.get(one.data.get("valuation"), {}),
            choices.get(other.data.get("valuation"), {}),
            told(other.made_at),
        )
        for one, other in pairwise(rows)
        if one.item_id == other.item_id and one.by_whom != other.by_whom
    )


def set_right_in_practice(records: Records, since: datetime) -> tuple[SetRight, ...]:
    """Find whole items that were read for practice, with the reading they were set against.

    Parameters
    ----------
    records : Engine or Session
        The shop's records, or a transaction in which they are open.
    since : datetime
        Only what was read later than that, with its zone.
    """
    wanted = (
        select(WholeItemRow, PersonRow.name)
        .join(PersonRow, PersonRow.id == WholeItemRow.person_id)
        .where(WholeItemRow.made_at >= stored(since))
        .order_by(WholeItemRow.id)
    )
    with reading(records) as session:
        return tuple(
            SetRight(
                name,
                row.lead.get("by", ""),
                row.reading.get("choices", {}),
                row.lead.get("choices", {}),
                told(row.made_at),
            )
            for row, name in session.execute(wanted)
        )
