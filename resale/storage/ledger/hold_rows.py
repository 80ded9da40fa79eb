"""Rows of holds inside somebody else's transaction: a save raises them, the Ledger asks for them.

A hold is open from where it was last raised until a lead clears it. A later valuation that shows
no reason any more does not lift it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal, cast

from sqlalchemy import Row, Select, func, select
from sqlalchemy.orm import Session

from resale.safety.raising import hold_of
from resale.storage.db.hold_tables import HoldEventRow
from resale.storage.db.tables import EventRow, ItemRow
from resale.storage.db.utc import stored, told
from resale.storage.ledger.effective_events import event_key
from resale.storage.ledger.transitions import VALUED, LedgerError

What = Literal["raised", "cleared"]
# What may not happen to an item that is held; passing on is a lead's to decide.
STOPPED = frozenset({"ticketed", "put_out", "marked_down", "sold", "passed_on"})
_DO = "do what the Held screen says; a lead clears it there with a reason, then go on"
_MOST_NAMED = 500
"""Beyond these, all open holds are read: a database takes no endless list of numbers."""


class HeldError(LedgerError):
    """A ticket, a sale or the like was asked for an item that is held."""


@dataclass(frozen=True, slots=True)
class HandRaised:
    """A hold that somebody raises, with their note."""

    hold: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class HoldEvent:
    """A hold of an item that was raised or cleared."""

    id: int
    number: str
    hold: str
    what: What
    reason: str
    by: str
    made_at: datetime
    data: Mapping[str, Any]


def add_row(
    session: Session,
    item_id: int,
    hold: str,
    what: What,
    key: str,
    at: datetime,
    *,
    reason: str = "",
    by: str = "",
    data: Mapping[str, Any] | None = None,
) -> None:
    """Add one row; nobody is asked whether it may be.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    item_id : int
    hold : str
        Id of the hold.
    what : str
        ``raised`` or ``cleared``.
    key : str
        Makes writing twice write once.
    at : datetime
        Now, with its zone.
    reason : str
        Why, in words.
    by : str
        Name of whoever did it.
    data : mapping, optional
        What more is to be known, as plain values.
    """
    row = HoldEventRow(
        item_id=item_id,
        hold=hold,
        what=what,
        reason=reason,
        by_whom=by,
        data=dict(data or {}),
        client_key=key,
        made_at=stored(at),
    )
    session.add(row)
    session.flush()


def open_rows(session: Session, numbers: Iterable[str] | None = None) -> list[HoldEvent]:
    """Open holds of some items, or of all, each as it was last raised; one question for all.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    numbers : iterable of str, optional
        Of the items; all, unless told which.

    Returns
    -------
    list of HoldEvent
    """
    return [one for one in last_rows(session, numbers) if one.what == "raised"]


def last_rows(session: Session, numbers: Iterable[str] | None = None) -> list[HoldEvent]:
    """Give the last row of each hold that some items, or all, ever had.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    numbers : iterable of str, optional
        Of the items; all, unless told which.

    Returns
    -------
    list of HoldEvent
    """
    wanted = None if numbers is None else set(numbers)
    if wanted is not None and not wanted:
        return []
    last = select(func.max(HoldEventRow.id)).group_by(HoldEventRow.item_id, HoldEventRow.hold)
    if wanted is not None and len(wanted) <= _MOST_NAMED:
        # Inside: a sale asks for one item, and would go through all that was ever held.
        named = select(ItemRow.id).where(ItemRow.number.in_(wanted))
        last = last.where(HoldEventRow.item_id.in_(named))
    found = map(hold_event, session.execute(rows_with_numbers().where(HoldEventRow.id.in_(last))))
    return [one for one in found if wanted is None or one.number in wanted]


def rows_with_numbers() -> Select[HoldEventRow, str]:
    """Select rows with the number of their item, the oldest first."""
    joined = select(HoldEventRow, ItemRow.number).join(ItemRow, ItemRow.id == HoldEventRow.item_id)
    return joined.order_by(HoldEventRow.id)


def hold_event(found: Row[HoldEventRow, str]) -> HoldEvent:
    """Turn a row into a value."""
    row, number = found
    return HoldEvent(
        row.id,
        number,
        row.hold,
        cast("What", row.what),
        row.reason,
        row.by_whom,
        told(row.made_at),
        row.data,
    )


def raise_saved(
    session: Session,
    item: ItemRow,
    found: Mapping[str, tuple[str, ...]],
    before: Mapping[str, Any] | None,
    by_hand: Iterable[HandRaised],
    key: tuple[str, str],
    at: datetime,
    by: str,
) -> None:
    """Raise what a save shows and what was picked by hand, where it is not open already.

    Parameters
    ----------
    found : mapping of hold id to tuple of str
        What the readings show, each with the answers that raise it.
    before : mapping or None
        As `found_before` gave it ahead of this save.
    key : tuple of str
        Key of the save and digest of its inputs, so that what is sent twice is raised once.
    """
    hand = {one.hold: one.note for one in by_hand}
    opened = {one.hold for one in open_rows(session, [item.number])}
    shown = newly_shown(session, item, found, before)
    for hold in dict.fromkeys((*shown, *hand)):
        own = event_key("hold", *key, hold)
        if hold in opened or _is_known(session, own):
            continue
        answers = list(found.get(hold, ()))
        reason, data = hand.get(hold, ""), {"answers": answers} if answers else {}
        add_row(session, item.id, hold, "raised", own, at, reason=reason, by=by, data=data)


def newly_shown(
    session: Session,
    item: ItemRow,
    found: Mapping[str, tuple[str, ...]],
    before: Mapping[str, Any] | None,
) -> tuple[str, ...]:
    """Give the holds that readings raise.

    What a lead cleared is not raised again by the very answers that the valuation before had:
    pricing anew, or mending a typing error, reads nothing anew.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    item : ItemRow
    found : mapping of hold id to tuple of str
        What its readings hold it for now, with the answers that say so.
    before : mapping or None
        The same of the valuation before; None where there is none.

    Returns
    -------
    tuple of str
        Ids of holds.
    """
    cleared = {one.hold for one in last_rows(session, [item.number]) if one.what == "cleared"}
    return tuple(
        hold
        for hold, answers in found.items()
        if hold not in cleared or list(answers) != _answers_before(session, item.id, hold, before)
    )


def found_before(session: Session, item_id: int) -> Mapping[str, Any] | None:
    """Holds that the newest valuation showed; None where there is none, or it kept none.

    Parameters
    ----------
    session : Session
        In a transaction of the caller's.
    item_id : int

    Returns
    -------
    mapping or None
        Answers that showed each, by the hold's id.
    """
    last = select(EventRow.data).where(EventRow.item_id == item_id, EventRow.what == VALUED)
    data = session.scalar(last.order_by(EventRow.id.desc()).limit(1)) or {}
    found: Mapping[str, Any] | None = data.get("holds")
    return found


def _answers_before(
    session: Session, item_id: int, hold: str, before: Mapping[str, Any] | None
) -> list[str]:
    if before is not None:
        return list(before.get(hold, ()))
    raised = (
        select(HoldEventRow.data)
        .where(HoldEventRow.item_id == item_id, HoldEventRow.hold == hold)
        .where(HoldEventRow.what == "raised")
        .order_by(HoldEventRow.id.desc())
    )
    return list((session.scalar(raised.limit(1)) or {}).get("answers", ()))


def _is_known(session: Session, key: str) -> bool:
    return session.scalar(select(HoldEventRow.id).where(HoldEventRow.client_key == key)) is not None


def refuse_held(session: Session, number: str, what: str, *, lead_knows: bool = False) -> None:
    """Refuse what may not happen to a held item.

    Parameters
    ----------
    what : str
        As in the Ledger.
    lead_knows : bool
        Whether a lead read the warning; then it may be passed on, and nothing else.

    Raises
    ------
    HeldError
        In one sentence with what to do.
    """
    if what not in STOPPED or (what == "passed_on" and lead_knows):
        return
    held = [hold_of(one.hold).name for one in open_rows(session, [number])]
    if held:
        raise HeldError(f"it is held: {'; '.join(held)}", where=number, remedy=_DO)
