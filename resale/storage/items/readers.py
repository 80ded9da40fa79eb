"""Who read an item on the bench, and when: a second look is for somebody else."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Engine, select
from sqlalchemy.orm import Session

from resale.storage.db.drill_tables import SecondLookRow
from resale.storage.db.tables import EventRow, ItemRow
from resale.storage.db.utc import told
from resale.storage.ledger.transitions import VALUED


@dataclass(frozen=True, slots=True)
class Reader:
    """One reading on the bench; `name` is empty where nobody was signed in."""

    name: str
    at: datetime


Readers = Mapping[str, tuple[Reader, ...]]


def readers(engine: Engine, numbers: Iterable[str] | None = None) -> Readers:
    """Find who read items on the bench, the oldest reading first.

    Parameters
    ----------
    numbers : iterable of str, optional
        Numbers of the items; all that were looked at twice where omitted.

    Returns
    -------
    mapping of number to tuple of Reader
    """
    wanted = (
        ItemRow.id.in_(select(SecondLookRow.item_id))
        if numbers is None
        else ItemRow.number.in_(tuple(numbers))
    )
    query = (
        select(ItemRow.number, EventRow.by_whom, EventRow.made_at)
        .join(EventRow, EventRow.item_id == ItemRow.id)
        .where(EventRow.what == VALUED, wanted)
        .order_by(EventRow.id)
    )
    found: dict[str, list[Reader]] = {}
    with Session(engine) as session:
        for number, name, at in session.execute(query):
            found.setdefault(number, []).append(Reader(name, told(at)))
    return {number: tuple(many) for number, many in found.items()}


def has_read(found: Readers, number: str, name: str) -> bool:
    """Whether somebody of this name is among those who read an item.

    Parameters
    ----------
    found : Readers
    number : str
        Of the item.
    name : str
        Of the person.

    Returns
    -------
    bool
    """
    return any(one.name.casefold() == name.casefold() for one in found.get(number, ()))


def has_read_any(engine: Engine, name: str) -> bool:
    """Whether somebody of this name ever saved an item that they read.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    name : str
        Of the person.

    Returns
    -------
    bool
    """
    read = select(EventRow.id).where(EventRow.what == VALUED, EventRow.by_whom == name).limit(1)
    with Session(engine) as session:
        return session.scalar(read) is not None


def reader_then(found: Readers, number: str, at: datetime) -> str:
    """Name of whoever made the reading that held at a moment; empty where nobody knows.

    Parameters
    ----------
    found : Readers
    number : str
        Of the item.
    at : datetime
        The moment, in UTC.

    Returns
    -------
    str
    """
    before = [one.name for one in found.get(number, ()) if one.at <= at]
    return before[-1] if before else ""
