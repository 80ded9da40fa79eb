"""Days without a sale that are too many to be chance: entered by nobody, or the shop was shut.

A sale that was never written down looks like a thing that hangs. So a spell in which as many sales
as `MISSED` would have been usual, and none is written, is not taken for days on which nothing sold
before somebody says that the shop was open.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

import numpy as np
from sqlalchemy import String, cast, func, insert, select
from sqlalchemy.orm import Session, aliased

from resale.storage.db.tables import EventRow, QuietSpellRow
from resale.storage.db.utc import stored
from resale.storage.ledger.effective_events import effective_events

# By chance alone a spell begins with so many sales missing once in e^8, some three thousand, sales.
MISSED = 8.0
# Whole days: two without a sale are a week's end in most towns. Common practice, no source.
FEWEST_DAYS = 3
# What is usual is that of so many days before the spell, and of so many sales at the least.
BEFORE, FEWEST_SALES = 56, 8
DAY = timedelta(1)
# So many new lines are gone through one by one; above, all are counted again.
_MANY = 500


@dataclass(frozen=True)
class Quiet:
    """Days without a sale, both ends among them, and how many sales would have been usual."""

    first: date
    last: date
    usual: float

    @property
    def days(self) -> int:
        """How many days it is long."""
        return (self.last - self.first).days + 1


@dataclass(frozen=True)
class Unseen:
    """Spells that say nothing of how fast things sell."""

    spells: tuple[Quiet, ...] = ()

    def days(self, first: date, last: date) -> int:
        """Count the unseen days of a stretch.

        Parameters
        ----------
        first, last : date
            The stretch; its last day is not of it.
        """
        lost = ((min(last, one.last + DAY) - max(first, one.first)).days for one in self.spells)
        return sum(max(0, days) for days in lost)


def sale_days(session: Session) -> dict[date, int]:
    """Count the sales of each day, as they hold.

    Sales of files are left aside: what was sold before the shop used these records is no measure.
    """
    events = effective_events()
    query = (
        select(events.c.day, func.count().label("sales"))
        .where(events.c.what == "sold", events.c.item_id.not_in(_of_files()))
        .group_by(events.c.day)
    )
    return {row.day: row.sales for row in session.execute(query)}


def sale_days_since(session: Session, known: Mapping[date, int], seen: int) -> dict[date, int]:
    """Count the sales of each day, of which all but the last lines were counted before.

    Parameters
    ----------
    session : Session
    known : mapping of date to int
        As `sale_days` gave it.
    seen : int
        Id of the last event that it counts.
    """
    line = (EventRow.id, EventRow.item_id, EventRow.day, EventRow.strikes, EventRow.corrects)
    since = select(func.coalesce(EventRow.corrects, EventRow.id)).where(EventRow.id > seen)
    meant = session.scalars(since.limit(_MANY + 1)).all()
    if len(meant) > _MANY:
        return sale_days(session)
    sold = select(*line).where(EventRow.id.in_(meant), EventRow.what == "sold")
    sales = session.execute(sold.where(EventRow.item_id.not_in(_of_files(meant)))).all()
    said: dict[int, list[Any]] = {one.id: [one] for one in sales}
    for one in session.execute(
        select(*line).where(EventRow.corrects.in_(list(said))).order_by(EventRow.id)
    ):
        said[one.corrects].append(one)
    counts = Counter(known)
    for lines in said.values():
        before = [one for one in lines if one.id <= seen]
        for some, by in ((before, -1), (lines, 1)):
            if some and not some[-1].strikes:
                counts[some[-1].day] += by
    return {day: count for day, count in counts.items() if count}


def _of_files(events: Sequence[int] | None = None) -> Any:
    """Ids of items that came with a file, or of those among the items of some events."""
    # A file leaves word of what it said beside the line; as text, for not every database compares.
    said = cast(EventRow.data, String) != "{}"
    query = select(EventRow.item_id).where(EventRow.what == "taken_in", said)
    if events is not None:
        other = aliased(EventRow)
        query = query.where(EventRow.item_id.in_(select(other.item_id).where(other.id.in_(events))))
    return query


def quiet_spells(session: Session, today: date) -> list[Quiet]:
    """Find spells that are too long for chance, the oldest first; the last may reach to yesterday.

    Parameters
    ----------
    session : Session
    today : date
        The shop's own day: it is not over, so it belongs to no spell.
    """
    return spells_among(sale_days(session), today)


def spells_among(counts: Mapping[date, int], today: date) -> list[Quiet]:
    """Find spells that are too long for chance, given how much sold on each day.

    Parameters
    ----------
    counts : mapping of date to int
        Sales of each day that had any.
    today : date
        Later days are left aside.
    """
    days = sorted(one for one in counts if one <= today)
    sold = np.array(days, dtype="datetime64[D]")
    until = np.cumsum([counts[one] for one in days])
    if not len(sold) or until[-1] < FEWEST_SALES:
        return []
    ends = np.r_[sold[1:], np.datetime64(today)]
    lengths = (ends - sold).astype(int) - 1
    # Sales of the weeks before, the last one included, over the days since the first of them.
    begun = np.searchsorted(sold, sold - np.timedelta64(BEFORE, "D"), side="right")
    count = until - np.r_[0, until][begun]
    span = np.maximum((sold - sold[begun]).astype(int) + 1, 1)
    usual = count / span * lengths
    found = (lengths >= FEWEST_DAYS) & (count >= FEWEST_SALES) & (usual >= MISSED)
    return [
        Quiet(_day(sold[place] + 1), _day(ends[place] - 1), float(usual[place]))
        for place in np.flatnonzero(found)
    ]


def not_said(session: Session, spells: Sequence[Quiet]) -> list[Quiet]:
    """Those spells that nobody said anything of; one that went on since is asked about anew.

    Parameters
    ----------
    spells : sequence of Quiet
    """
    said = _spells(session, select(QuietSpellRow.first, QuietSpellRow.last))
    return [one for one in spells if not _covered(one, said)]


def unseen(session: Session, today: date) -> Unseen:
    """Spells to leave out: all but those of which somebody said that the shop was open.

    Parameters
    ----------
    today : date
        The shop's own day.
    """
    spells = quiet_spells(session, today)
    query = select(QuietSpellRow.first, QuietSpellRow.last).where(QuietSpellRow.was_open)
    was_open = _spells(session, query) if spells else []
    return Unseen(tuple(one for one in spells if not _covered(one, was_open)))


def say_quiet(session: Session, spell: Quiet, at: datetime, by: str, *, was_open: bool) -> None:
    """Write down what somebody says of a spell.

    Parameters
    ----------
    session : Session
        In a transaction that writes.
    spell : Quiet
    at : datetime
        Now.
    by : str
        Who says so.
    was_open : bool
        Whether the shop was open, and sold nothing.
    """
    values = {"first": spell.first, "last": spell.last, "was_open": was_open, "by_whom": by}
    session.execute(insert(QuietSpellRow).values(**values, made_at=stored(at)))


def _spells(session: Session, query: Any) -> list[tuple[date, date]]:
    return [(first, last) for first, last in session.execute(query)]


def _covered(one: Quiet, said: Sequence[tuple[date, date]]) -> bool:
    return any(first <= one.first and one.last <= last for first, last in said)


def _day(value: np.datetime64) -> date:
    found: date = value.astype("datetime64[D]").astype(object)
    return found
