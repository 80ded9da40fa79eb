"""The day book: what came in and went out between two days, to the cent."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

from sqlalchemy import Engine, select
from sqlalchemy.orm import Session

from resale.errors import ReadingError
from resale.storage.db.tables import ItemRow
from resale.storage.ledger.effective_events import effective_events
from resale.storage.ledger.transitions import VALUED


@dataclass(frozen=True)
class DayLine:
    """One thing that happened, as it holds after corrections. Money in minor units."""

    event: int
    day: date
    number: str
    kind: str
    label: str
    what: str
    amount: int | None
    note: str
    by: str
    data: Mapping[str, Any]


@dataclass(frozen=True)
class Sums:
    """Counts and money of some lines, in minor units.

    Attributes
    ----------
    counts : mapping of str to int
        How many items were taken in, sold, and so on.
    sold, returned, passed_on : int
        Money taken for sales, given back for returns, and taken for what was passed on.
    """

    counts: Mapping[str, int]
    sold: int
    returned: int
    passed_on: int

    @property
    def net(self) -> int:
        """What is left in the till."""
        return self.sold - self.returned + self.passed_on

    @classmethod
    def of(cls, lines: tuple[DayLine, ...]) -> Sums:
        """Add up lines."""
        money: Counter[str] = Counter()
        for line in lines:
            money[line.what] += line.amount or 0
        counts = Counter(line.what for line in lines)
        return cls(dict(counts), money["sold"], money["returned"], money["passed_on"])


@dataclass(frozen=True)
class DayBook:
    """What happened between two days, both counted in.

    Attributes
    ----------
    lines : tuple of DayLine
        In the order in which they happened; valuations are left out.
    """

    first: date
    last: date
    currency: str
    lines: tuple[DayLine, ...]

    @cached_property
    def sums(self) -> Sums:
        """All days together."""
        return Sums.of(self.lines)

    @cached_property
    def days(self) -> Mapping[date, Sums]:
        """Each day on which something happened."""
        by_day: dict[date, list[DayLine]] = {}
        for line in self.lines:
            by_day.setdefault(line.day, []).append(line)
        return {day: Sums.of(tuple(lines)) for day, lines in by_day.items()}


def day_book(engine: Engine, first: date, last: date, currency: str) -> DayBook:
    """Open the day book between two days.

    Parameters
    ----------
    first, last : date
        Both counted in.
    currency : str
        Amounts in another currency, from before the shop changed its own, are left out.

    Raises
    ------
    ReadingError
        If the first day is after the last.
    """
    if first > last:
        raise ReadingError(
            f"{first} is after {last}", where="day book", remedy="give the earlier day first"
        )
    events = effective_events((first, last))
    query = (
        select(
            events.c.id,
            events.c.day,
            ItemRow.number,
            ItemRow.kind,
            ItemRow.label,
            events.c.what,
            events.c.amount,
            events.c.note,
            events.c.by_whom,
            events.c.data,
        )
        .join(ItemRow, ItemRow.id == events.c.item_id)
        .where(
            events.c.day.between(first, last),
            events.c.what != VALUED,
            events.c.currency.in_(("", currency)),
        )
        .order_by(events.c.day, events.c.id)
    )
    with Session(engine) as session:
        lines = tuple(DayLine(*row) for row in session.execute(query))
    return DayBook(first, last, currency, lines)
