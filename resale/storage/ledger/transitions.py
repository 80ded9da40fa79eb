"""The life of one item: what may follow what, and where the item is after it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any, Literal

from resale.errors import ResaleError

Where = Literal["nowhere", "back_room", "on_rail", "sold", "gone"]

# What may happen to an item that stands there, and where it stands afterwards.
STEPS: Mapping[str, Mapping[Where, Where]] = {
    "taken_in": {"nowhere": "back_room"},
    "ticketed": {"back_room": "back_room", "on_rail": "on_rail"},
    "put_out": {"back_room": "on_rail"},
    "marked_down": {"on_rail": "on_rail"},
    "sold": {"back_room": "sold", "on_rail": "sold"},
    "returned": {"sold": "back_room"},
    "withdrawn": {"on_rail": "back_room"},
    "passed_on": {"back_room": "gone", "on_rail": "gone"},
}
# Saying anew what an item is worth moves it nowhere; a correction is judged by what it leaves.
VALUED, CORRECTED = "valued", "corrected"
WHAT = ("taken_in", VALUED, *list(STEPS)[1:], CORRECTED)
WITH_PRICE = frozenset({"ticketed", "put_out", "marked_down", "sold", "returned"})
TICKETS = frozenset({"ticketed", "put_out", "marked_down"})
WITH_AMOUNT = WITH_PRICE | {VALUED, "passed_on", CORRECTED}

MOVED_TO = "moved_to"
"""Beside an event that passes an item on: the shop of the chain that it went to."""

EVENT_WORDS = {what: what.replace("_", " ") for what in WHAT}
_STANDS: Mapping[Where, str] = {
    "nowhere": "not taken in yet",
    "back_room": "in the back room",
    "on_rail": "on the rail",
    "sold": "sold",
    "gone": "passed on",
}
_REMEDIES: Mapping[tuple[str, Where], str] = {
    ("taken_in", "sold"): "record its return if the buyer brought it back",
    ("put_out", "on_rail"): "withdraw it first, or give it another ticket",
    ("put_out", "sold"): "record its return first",
    ("sold", "sold"): "record its return first, or correct that sale",
    ("returned", "back_room"): "record its sale first",
    ("returned", "on_rail"): "record its sale first",
    ("marked_down", "back_room"): "put it out first, or give it another ticket",
    ("withdrawn", "back_room"): "it needs no withdrawing",
    ("passed_on", "sold"): "record its return first",
}


class LedgerError(ResaleError):
    """An event that cannot have happened to this item."""


@dataclass(frozen=True)
class Event:
    """Something that happened to an item. Money in minor units.

    Attributes
    ----------
    corrects : int or None
        Id of the event that this one corrects.
    strikes : bool
        Whether it says that the other never happened.
    """

    id: int
    what: str
    day: date
    amount: int | None = None
    currency: str = ""
    note: str = ""
    by: str = ""
    data: Mapping[str, Any] = field(default_factory=dict)
    corrects: int | None = None
    strikes: bool = False
    made_at: datetime | None = None


@dataclass(frozen=True)
class State:
    """Where an item is.

    Attributes
    ----------
    price : int or None
        What its ticket says, or what it was sold for; None where nobody said.
    since : date or None
        The day of the event that brought it there, or gave it that price.
    ticket : int or None
        What its ticket says; it stands until somebody changes it, through sales and returns.
    """

    where: Where = "nowhere"
    price: int | None = None
    since: date | None = None
    ticket: int | None = None


def held(events: Iterable[Event]) -> list[Event]:
    """Give the events that hold after all corrections, in the order in which they happened."""
    known = sorted(events, key=lambda event: event.id)
    last = {event.corrects: event for event in known if event.corrects is not None}
    standing = []
    for event in known:
        if event.what == CORRECTED:
            continue
        correction = last.get(event.id)
        if correction is None:
            standing.append(event)
        elif not correction.strikes:
            # What it says besides, such as how it was paid, holds as well.
            data = {**event.data, **correction.data}
            standing.append(replace(event, day=correction.day, amount=correction.amount, data=data))
    return sorted(standing, key=lambda event: (event.day, event.id))


def follow(events: Sequence[Event], where: str = "") -> State:
    """Follow the events that hold to where the item is now.

    Parameters
    ----------
    events : sequence of Event
        As `held` gives them.
    where : str
        Number of the item, for the sentence.

    Raises
    ------
    LedgerError
        At the first event that cannot have followed the ones before.
    """
    state = State()
    for event in events:
        if event.what != VALUED:
            state = _after(state, event, where)
    return state


def _after(state: State, event: Event, where: str) -> State:
    following = STEPS[event.what].get(state.where)
    if following is None:
        since = f" since {state.since}" if state.since else ""
        raise LedgerError(
            f"it cannot be {EVENT_WORDS[event.what]} on {event.day}: "
            f"it is {_STANDS[state.where]}{since}",
            where=where,
            remedy=_REMEDIES.get((event.what, state.where), "look at the day and at what happened"),
        )
    if event.what == "marked_down" and not _lower(event.amount, state.price):
        raise LedgerError(
            "a mark-down has to be below the price on its ticket",
            where=where,
            remedy="record another ticket where the price goes up",
        )
    if event.what in ("returned", "withdrawn"):
        return State(following, state.ticket, event.day, state.ticket)
    if event.what == "passed_on":
        return State(following, event.amount, event.day, state.ticket)
    price = state.price if event.amount is None else event.amount
    ticket = price if event.what in TICKETS else state.ticket
    return State(following, price, event.day, ticket)


def _lower(amount: int | None, price: int | None) -> bool:
    return amount is None or price is None or amount < price
