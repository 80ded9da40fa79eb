"""Raising and clearing holds by hand, inside a transaction that is open."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from resale.errors import ResaleError
from resale.safety.holds import hold_called
from resale.safety.raising import hold_of
from resale.storage.db.hold_tables import HoldEventRow
from resale.storage.db.tables import ItemRow
from resale.storage.ledger.effective_events import event_key
from resale.storage.ledger.hold_rows import add_row, last_rows, open_rows
from resale.storage.ledger.holds import RAISED_AT, TREATED_ON, OpenHold, open_hold
from resale.storage.ledger.ledger import item_row

REASON = range(3, 401)
LONGEST_NOTE = 400


class HoldError(ResaleError):
    """A hold that cannot be raised or cleared like this."""


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


def raise_hold(
    session: Session, number: str, hold_id: str, *, note: str, by: str, key: str, at: datetime
) -> bool:
    """Raise a hold by hand.

    Parameters
    ----------
    session : Session
        In a transaction that writes.
    by : str
        Name of whoever raises it.

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
    item = item_row(session, number)
    if _sent(session, item, hold_id, "raised", key):
        return False
    if any(one.hold == hold_id for one in open_rows(session, [item.number])):
        return False
    add_row(session, item.id, hold_id, "raised", _key("raised", key), at, reason=note, by=by)
    return True


def begin_treatment(
    session: Session,
    number: str,
    hold_id: str,
    day: date,
    *,
    note: str,
    by: str,
    key: str,
    at: datetime,
) -> bool:
    """Start a hold's clock: from this day its quarantine runs.

    Parameters
    ----------
    session : Session
        In a transaction that writes.
    day : date
        On which the treatment began.
    note : str
        How: cold or heat, the temperature at the core and for how long.
    at : datetime
        Now, in the shop's zone.

    Returns
    -------
    bool
        Whether this call wrote it, not an earlier one with the same key.

    Raises
    ------
    NotSavedError
        If there is no such item.
    HoldError
        If the hold is not open, has no quarantine, or the day or the note cannot be.
    """
    item = item_row(session, number)
    if _sent(session, item, hold_id, "treated", key):
        return False
    held = _open_one(session, item.number, hold_id)
    if held.rule.days is None:
        raise HoldError(
            "this hold has no quarantine", where=item.number, remedy="clear it with its points"
        )
    if not held.since.astimezone(at.tzinfo).date() <= day <= at.date():
        raise HoldError(
            f"no treatment can have begun on {day}",
            where=item.number,
            remedy="give a day from the one on which it was held until today",
        )
    if len(note) not in REASON:
        raise HoldError(
            f"how it is treated has {len(note)} characters",
            where=item.number,
            remedy="write cold or heat, the temperature at the core and for how long",
        )
    last = next(one for one in last_rows(session, [item.number]) if one.hold == hold_id)
    data = {**last.data, TREATED_ON: day.isoformat(), RAISED_AT: held.since.isoformat()}
    own = _key("treated", key)
    add_row(session, item.id, hold_id, "raised", own, at, reason=note, by=by, data=data)
    return True


def clear_hold(
    session: Session,
    number: str,
    hold_id: str,
    clearing: Clearing,
    *,
    by: str,
    key: str,
    at: datetime,
) -> bool:
    """Clear a hold; only a lead may, and whoever calls this has seen to that.

    Parameters
    ----------
    session : Session
        In a transaction that writes.
    at : datetime
        Now, in the shop's zone.

    Returns
    -------
    bool
        Whether this call cleared it, not an earlier one with the same key.

    Raises
    ------
    NotSavedError
        If there is no such item.
    HoldError
        If it is not open, or something is missing of what has to be said.
    """
    item = item_row(session, number)
    if _sent(session, item, hold_id, "cleared", key):
        return False
    held = _open_one(session, item.number, hold_id)
    _check(held, clearing, at)
    data = {
        "confirmed": [point for point in held.rule.clear if point in clearing.confirmed],
        "mistake": clearing.mistake,
        "early": held.is_early(at),
    }
    own = _key("cleared", key)
    add_row(session, item.id, hold_id, "cleared", own, at, reason=clearing.reason, by=by, data=data)
    return True


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
    return open_hold(last)


def _check(held: OpenHold, clearing: Clearing, at: datetime) -> None:
    left = [point for point in held.rule.clear if point not in clearing.confirmed]
    if left and not clearing.mistake:
        raise HoldError(
            f"not confirmed yet: {left[0].rstrip('.')}",
            where=held.number,
            remedy="confirm every point, or say that it was raised by mistake",
        )
    if len(clearing.reason) not in REASON:
        raise HoldError(
            f"the reason has {len(clearing.reason)} characters",
            where=held.number,
            remedy=f"write {REASON.start} to {REASON.stop - 1}: who did what, and when",
        )
    if held.is_early(at) and not (clearing.early or clearing.mistake):
        runs = f"its quarantine runs until {held.until}"
        raise HoldError(
            runs if held.until else "no treatment is entered, so its quarantine has not begun",
            where=held.number,
            remedy="wait, or say that you clear it earlier and why"
            if held.until
            else "enter the day of the treatment, or say that you clear it earlier and why",
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
