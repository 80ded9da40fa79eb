"""Holds of items as they stand: which are open, which would be, and what was cleared."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import Engine, select
from sqlalchemy.orm import Session

from resale.safety.holds import Hold, shipped_holds
from resale.safety.raising import hold_of
from resale.storage.db.tables import ItemNow, ItemRow
from resale.storage.ledger.hold_rows import (
    HoldEvent,
    found_before,
    hold_event,
    newly_shown,
    open_rows,
    refuse_held,
    rows_with_numbers,
)
from resale.storage.ledger.ledger import item_row

OVER = ("sold", "passed_on")
# Beside a hold whose treatment was entered: the day, and when it was raised first.
TREATED_ON, RAISED_AT = "treated_on", "raised_at"


@dataclass(frozen=True, slots=True)
class OpenHold:
    """A hold that waits for a lead.

    Attributes
    ----------
    note : str
        What whoever raised it wrote beside it.
    by : str
        Who raised it; empty where a rule did before anybody was asked for a name.
    since : datetime
        When it was raised.
    treated : date or None
        Day on which its treatment began; None while nobody entered one.
    """

    number: str
    rule: Hold
    note: str
    by: str
    since: datetime
    treated: date | None = None

    @property
    def until(self) -> date | None:
        """First day on which its quarantine is over; None without one, or before it began.

        The clock runs from the treatment: a bag that waits untreated is no safer for waiting.
        """
        return None if self.treated is None else self.rule.may_end_on(self.treated)

    def is_early(self, at: datetime) -> bool:
        """Whether its quarantine still runs, or has not begun."""
        if self.rule.days is None:
            return False
        return self.until is None or at.date() < self.until


def open_holds(
    engine: Engine, numbers: Iterable[str] | None = None
) -> dict[str, tuple[OpenHold, ...]]:
    """Open holds by item number, of some items or of all; one question for all of them.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    numbers : iterable of str, optional
        Of the items; all, unless told which.

    Returns
    -------
    dict of str to tuple of OpenHold
        Items without one are left out.
    """
    with Session(engine) as session:
        return _grouped(open_rows(session, numbers))


def waiting(engine: Engine) -> dict[str, tuple[OpenHold, ...]]:
    """Open holds of what is still in the shop, those that wait longest first."""
    # Which ones are over is seen here: a database begins with all that ever sold if it is asked.
    last = select(ItemRow.number, ItemNow.what).join(ItemNow)
    with Session(engine) as session:
        rows = open_rows(session)
        held = {one.number for one in rows}
        known = session.execute(last.where(ItemRow.number.in_(held))) if held else ()
        left = {number for number, what in known if what in OVER}
    return _grouped(one for one in rows if one.number not in left)


def hold_history(engine: Engine, number: str) -> tuple[HoldEvent, ...]:
    """All holds of an item that were raised and cleared, the oldest first.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    number : str
        Of the item.

    Returns
    -------
    tuple of HoldEvent
    """
    with Session(engine) as session:
        query = rows_with_numbers().where(ItemRow.number == number.strip().upper())
        return tuple(map(hold_event, session.execute(query)))


def refuse_if_held(engine: Engine, numbers: Iterable[str], what: str = "ticketed") -> None:
    """Refuse a ticket, or what else may not happen, for the first item that is held.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    numbers : iterable of str
        Of the items.
    what : str
        What may not happen to it, as part of the sentence.

    Raises
    ------
    HeldError
        In one sentence with what to do.
    """
    with Session(engine) as session:
        for number in sorted({one.number for one in open_rows(session, numbers)}):
            refuse_held(session, number, what)


def held_if_saved(
    engine: Engine, number: str, found: Mapping[str, tuple[str, ...]]
) -> frozenset[str]:
    """Ids of the holds that would be open if an item were saved with these readings.

    Parameters
    ----------
    number : str
        Empty for a new item.
    found : mapping of hold id to tuple of str
        As `resale.safety.raising.holds_found` gives it.
    """
    if not number:
        return frozenset(found)
    with Session(engine) as session:
        item = item_row(session, number)
        before = found_before(session, item.id)
        opened = (one.hold for one in open_rows(session, [item.number]))
        return frozenset((*opened, *newly_shown(session, item, found, before)))


def _grouped(rows: Iterable[HoldEvent]) -> dict[str, tuple[OpenHold, ...]]:
    grouped: dict[str, list[OpenHold]] = {}
    for row in rows:
        grouped.setdefault(row.number, []).append(open_hold(row))
    # What endangers hands and people stands first, as the file of holds has it.
    order = {hold_id: place for place, hold_id in enumerate(shipped_holds())}
    for held in grouped.values():
        held.sort(key=lambda one: (order.get(one.rule.id, len(order)), one.since))
    return {number: tuple(held) for number, held in grouped.items()}


def open_hold(row: HoldEvent) -> OpenHold:
    """Give the row that raised a hold as what waits."""
    treated = row.data.get(TREATED_ON)
    since = row.data.get(RAISED_AT)
    return OpenHold(
        row.number,
        hold_of(row.hold),
        row.reason,
        row.by,
        datetime.fromisoformat(since) if since else row.made_at,
        date.fromisoformat(treated) if treated else None,
    )
