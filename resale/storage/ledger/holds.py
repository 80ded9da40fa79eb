"""Holds of items: raised by hand, cleared by a lead with a reason, asked for before a ticket."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import Engine, select
from sqlalchemy.orm import Session

from resale.errors import ResaleError
from resale.safety.holds import Hold, hold_called, shipped_holds
from resale.safety.raising import hold_of
from resale.storage.db.hold_tables import HoldEventRow
from resale.storage.db.tables import ItemRow
from resale.storage.items.store import NotSavedError
from resale.storage.ledger.effective_events import event_key, last_steps
from resale.storage.ledger.hold_rows import (
    HoldEvent,
    add_row,
    found_before,
    hold_event,
    last_rows,
    newly_shown,
    open_rows,
    refuse_held,
    rows_with_numbers,
)

OVER = ("sold", "passed_on")
REASON = range(3, 401)
LONGEST_NOTE = 400


class HoldError(ResaleError):
    """A hold that cannot be raised or cleared like this."""


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
    """

    number: str
    rule: Hold
    note: str
    by: str
    since: datetime

    def until(self, where: datetime) -> date | None:
        """First day on which its quarantine is over, in the zone of a moment; None without one."""
        return self.rule.may_end_on(self.since.astimezone(where.tzinfo).date())

    def is_early(self, at: datetime) -> bool:
        """Whether its quarantine still runs."""
        until = self.until(at)
        return until is not None and at.date() < until


@dataclass(frozen=True, slots=True)
class Clearing:
    """What a lead says to clear a hold.

    Attributes
    ----------
    reason : str
    confirmed : collection of str
        Points of the hold's list that they confirm.
    mistake : bool
        That it was raised by mistake: then there is nothing to confirm.
    early : bool
        That they know that its quarantine still runs.
    """

    reason: str
    confirmed: Collection[str] = ()
    mistake: bool = False
    early: bool = False


def open_holds(
    engine: Engine, numbers: Iterable[str] | None = None
) -> dict[str, tuple[OpenHold, ...]]:
    """Open holds by item number, of some items or of all; one question for all of them."""
    with Session(engine) as session:
        return _grouped(open_rows(session, numbers))


def ever_held(engine: Engine) -> tuple[dict[str, tuple[OpenHold, ...]], frozenset[str]]:
    """Give the open holds of all items, and the numbers of all that ever had one."""
    with Session(engine) as session:
        rows = last_rows(session)
    opened = _grouped(one for one in rows if one.what == "raised")
    return opened, frozenset(one.number for one in rows)


def waiting(engine: Engine) -> dict[str, tuple[OpenHold, ...]]:
    """Open holds of what is still in the shop, those that wait longest first."""
    last = last_steps()
    over = select(last.c.item_id).where(last.c.what.in_(OVER))
    gone = select(ItemRow.number).where(ItemRow.id.in_(over))
    with Session(engine) as session:
        rows = open_rows(session)
        left = set(session.scalars(gone.where(ItemRow.number.in_({one.number for one in rows}))))
    return _grouped(one for one in rows if one.number not in left)


def hold_history(engine: Engine, number: str) -> tuple[HoldEvent, ...]:
    """All holds of an item that were raised and cleared, the oldest first."""
    with Session(engine) as session:
        query = rows_with_numbers().where(ItemRow.number == number.strip().upper())
        return tuple(map(hold_event, session.execute(query)))


def refuse_if_held(engine: Engine, numbers: Iterable[str], what: str = "ticketed") -> None:
    """Refuse a ticket, or what else may not happen, for the first item that is held.

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
        item = _item(session, number)
        before = found_before(session, item.id)
        opened = (one.hold for one in open_rows(session, [item.number]))
        return frozenset((*opened, *newly_shown(session, item, found, before)))


def raise_hold(
    engine: Engine, number: str, hold_id: str, *, note: str, by: str, key: str, at: datetime
) -> bool:
    """Raise a hold by hand.

    Returns
    -------
    bool
        Whether it is new: one that is open already, or was sent before, is not raised twice.

    Raises
    ------
    NotSavedError
        If there is no such item.
    HoldError
        If nobody raises this hold by hand, or the note is too long.
    ReadingError
        If there is no such hold.
    """
    if not hold_called(hold_id).by_hand:
        raise HoldError(
            "this hold is raised by its rule alone", where=number, remedy="pick another"
        )
    if len(note) > LONGEST_NOTE:
        raise HoldError(
            f"the note has {len(note)} characters",
            where=number,
            remedy=f"shorten it to {LONGEST_NOTE}",
        )
    with Session(engine.execution_options(writes=True)) as session, session.begin():
        item = _item(session, number)
        if _sent(session, item, hold_id, "raised", key):
            return False
        if any(one.hold == hold_id for one in open_rows(session, [item.number])):
            return False
        add_row(session, item.id, hold_id, "raised", _key("raised", key), at, reason=note, by=by)
        return True


def clear_hold(
    engine: Engine, number: str, hold_id: str, said: Clearing, *, by: str, key: str, at: datetime
) -> None:
    """Clear a hold; only a lead may, and whoever calls this has seen to that.

    Parameters
    ----------
    at : datetime
        Now, in the shop's zone.

    Raises
    ------
    NotSavedError
        If there is no such item.
    HoldError
        If it is not open, or something is missing of what has to be said.
    """
    with Session(engine.execution_options(writes=True)) as session, session.begin():
        item = _item(session, number)
        if _sent(session, item, hold_id, "cleared", key):
            return
        held = _open_one(session, item.number, hold_id)
        _check(held, said, at)
        data = {
            "confirmed": [point for point in held.rule.clear if point in said.confirmed],
            "mistake": said.mistake,
            "early": held.is_early(at),
        }
        own = _key("cleared", key)
        add_row(session, item.id, hold_id, "cleared", own, at, reason=said.reason, by=by, data=data)


def _open_one(session: Session, number: str, hold_id: str) -> OpenHold:
    last = next((one for one in last_rows(session, [number]) if one.hold == hold_id), None)
    if last is None:
        raise HoldError(
            f"there is no hold {hold_id[:40]!r} on it",
            where=number,
            remedy="look at which holds are open on its page under Held",
        )
    if last.what == "cleared":
        raise HoldError(
            f"{hold_of(hold_id).name}: {last.by or 'somebody'} cleared it already on "
            f"{last.made_at.date()}",
            where=number,
            remedy="nothing more is to be done",
        )
    return _open(last)


def _check(held: OpenHold, said: Clearing, at: datetime) -> None:
    left = [point for point in held.rule.clear if point not in said.confirmed]
    if left and not said.mistake:
        raise HoldError(
            f"not confirmed yet: {left[0].rstrip('.')}",
            where=held.number,
            remedy="confirm every point, or say that it was raised by mistake",
        )
    if len(said.reason) not in REASON:
        raise HoldError(
            f"the reason has {len(said.reason)} characters",
            where=held.number,
            remedy=f"write {REASON.start} to {REASON.stop - 1}: who did what, and when",
        )
    if held.is_early(at) and not (said.early or said.mistake):
        raise HoldError(
            f"its quarantine runs until {held.until(at)}",
            where=held.number,
            remedy="wait, or say that you clear it earlier and why",
        )


def _sent(session: Session, item: ItemRow, hold_id: str, what: str, key: str) -> bool:
    """Whether this was sent before; something else under the same key is refused."""
    known = session.scalar(select(HoldEventRow).where(HoldEventRow.client_key == _key(what, key)))
    if known is not None and (known.item_id, known.hold) != (item.id, hold_id):
        raise HoldError(
            "something else was sent with this form already",
            where=item.number,
            remedy="open the item's page under Held again and do it from there",
        )
    return known is not None


def _key(what: str, key: str) -> str:
    return event_key("hold by hand", what, key)


def _item(session: Session, number: str) -> ItemRow:
    item = session.scalar(select(ItemRow).where(ItemRow.number == number.strip().upper()))
    if item is None:
        raise NotSavedError(
            f"no item {number.strip()[:20]!r} is in the records",
            remedy="look at the number on the ticket",
        )
    return item


def _grouped(rows: Iterable[HoldEvent]) -> dict[str, tuple[OpenHold, ...]]:
    grouped: dict[str, list[OpenHold]] = {}
    for row in rows:
        grouped.setdefault(row.number, []).append(_open(row))
    # What endangers hands and people stands first, as the file of holds has it.
    order = {hold_id: place for place, hold_id in enumerate(shipped_holds())}
    for held in grouped.values():
        held.sort(key=lambda one: (order.get(one.rule.id, len(order)), one.since))
    return {number: tuple(held) for number, held in grouped.items()}


def _open(row: HoldEvent) -> OpenHold:
    return OpenHold(row.number, hold_of(row.hold), row.reason, row.by, row.made_at)
