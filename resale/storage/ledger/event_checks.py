"""What an event must say before it can be held against the life of its item."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from resale.selling.consignment.double_entry import PAYMENTS
from resale.storage.ledger.transitions import (
    CORRECTED,
    EVENT_WORDS,
    VALUED,
    WHAT,
    WITH_AMOUNT,
    LedgerError,
)

LONGEST = {"note": 400, "key": 80}
MOST = 2_000_000_000
EARLIEST = date(1970, 1, 1)
# A desk east of the machine's clock may be a day ahead of it.
AHEAD = timedelta(days=1)


@dataclass(frozen=True)
class NewEvent:
    """What a desk hands in. Money in minor units.

    Attributes
    ----------
    number : str
        Of the item.
    what : str
        One of `resale.storage.ledger.transitions.WHAT`, but not ``valued``: that comes with a
        valuation.
    key : str
        Made by the page once; sending the same event again with the same key adds nothing.
    amount : int or None
        Where None, a sale takes the price on the ticket, a return the price paid, putting out the
        last ticket, and a correction leaves the amount as it is.
    corrects : int or None
        Id of the event that a correction corrects; `day` and `amount` then say what holds.
    strikes : bool
        For a correction: the event never happened.
    lead_knows : bool
        A lead read the warning of a held item and passes it on; else a held item stays.
    """

    number: str
    what: str
    day: date
    key: str
    amount: int | None = None
    note: str = ""
    data: Mapping[str, Any] = field(default_factory=dict)
    corrects: int | None = None
    strikes: bool = False
    lead_knows: bool = False


def check_event(new: NewEvent, today: date) -> None:
    """Refuse what cannot be right whatever the item.

    Parameters
    ----------
    new : NewEvent
    today : date
        The shop's own day.

    Raises
    ------
    LedgerError
    """
    number = new.number[:20]
    if new.what not in WHAT or new.what == VALUED:
        known = ", ".join(EVENT_WORDS[what] for what in WHAT if what != VALUED)
        raise LedgerError(
            f"{new.what[:20]!r} is nothing that can be recorded",
            where=number,
            remedy=f"use one of {known}",
        )
    if not EARLIEST <= new.day <= today + AHEAD:
        early = new.day < EARLIEST
        raise LedgerError(
            f"the day {new.day} is {'too long ago' if early else 'still to come'}",
            where=number,
            remedy="look at the date",
        )
    _check_amount(new, number)
    if new.data.get("payment", "cash") not in PAYMENTS:
        raise LedgerError(
            f"{str(new.data['payment'])[:20]!r} is no way to pay",
            where=number,
            remedy=f"use one of {', '.join(PAYMENTS)}",
        )
    for name, longest in LONGEST.items():
        text = getattr(new, name)
        if len(text) > longest or (name == "key" and not text):
            raise LedgerError(
                f"the {name} has {len(text)} characters",
                where=number,
                remedy=f"use {'1 to' if name == 'key' else 'up to'} {longest}",
            )
    if (new.corrects is None) == (new.what == CORRECTED) or (new.strikes and not new.corrects):
        raise LedgerError(
            "a correction has to name the event that it corrects, and nothing else may",
            where=number,
            remedy="open the item and correct one of its lines",
        )


def _check_amount(new: NewEvent, number: str) -> None:
    if new.amount is None:
        return
    if new.what not in WITH_AMOUNT:
        raise LedgerError(
            f"no money changes hands when an item is {EVENT_WORDS[new.what]}",
            where=number,
            remedy="leave the amount out",
        )
    if not 0 < new.amount <= MOST:
        raise LedgerError(
            f"an amount of {new.amount} minor units is not above 0 and up to {MOST}",
            where=number,
            remedy="look at the price",
        )
