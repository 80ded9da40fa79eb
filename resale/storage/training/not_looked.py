"""What a reader on the bench left without a look, and said so: as usual, or not to be told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from types import MappingProxyType

from sqlalchemy import Engine, select
from sqlalchemy.orm import Session

from resale.storage.db.drill_tables import SecondLookRow
from resale.storage.db.tables import EventRow, ItemRow, ValuationRow
from resale.storage.db.utc import told
from resale.storage.ledger.transitions import VALUED


@dataclass(frozen=True, slots=True)
class NotLooked:
    """What one reading on the bench says of signs that it has no answer to.

    Attributes
    ----------
    usual : mapping of sign to option
        Accepted as usual for the kind, without a look.
    untold : frozenset of str
        Looked at, and could not be told.
    """

    usual: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    untold: frozenset[str] = frozenset()


NOTHING = NotLooked()

Left = Mapping[str, tuple[tuple[datetime, NotLooked], ...]]


def not_looked(engine: Engine) -> Left:
    """Find what was left so on things that were looked at twice, the oldest reading first.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    """
    again = select(SecondLookRow.item_id)
    wanted = (
        select(ItemRow.number, EventRow.made_at, EventRow.data)
        .join(EventRow, EventRow.item_id == ItemRow.id)
        .where(EventRow.what == VALUED, ItemRow.id.in_(again))
        .order_by(EventRow.id)
    )
    inputs = select(ValuationRow.id, ValuationRow.inputs).where(ValuationRow.item_id.in_(again))
    found: dict[str, list[tuple[datetime, NotLooked]]] = {}
    with Session(engine) as session:
        said = {row.id: _of(row.inputs) for row in session.execute(inputs)}
        for number, at, data in session.execute(wanted):
            left = said.get(data.get("valuation"), NOTHING)
            found.setdefault(number, []).append((told(at), left))
    return {number: tuple(many) for number, many in found.items()}


def left_then(found: Left, number: str, at: datetime) -> NotLooked:
    """What the reading that held at a moment left without an answer.

    Parameters
    ----------
    found : Left
    number : str
        Of the item.
    at : datetime
        The moment, in UTC.
    """
    before = [left for when, left in found.get(number, ()) if when <= at]
    return before[-1] if before else NOTHING


def _of(inputs: Mapping[str, object]) -> NotLooked:
    usual, untold = inputs.get("usual") or {}, inputs.get("untold") or ()
    if not isinstance(usual, Mapping) or not isinstance(untold, list | tuple):
        return NOTHING
    return NotLooked(dict(usual), frozenset(map(str, untold)))
