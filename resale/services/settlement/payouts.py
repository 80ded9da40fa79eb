"""Money between the shop and a consignor beside the sales: paid out, paid in, taken off."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from resale.selling.consignment.double_entry import (
    CHARGED,
    Account,
    BookkeepingError,
    Payment,
    Postings,
    money,
    owed_to,
)
from resale.services.actor import Actor
from resale.services.settlement.entered import agree_shares
from resale.services.shop import Shop
from resale.services.transaction import Work, transaction
from resale.storage.ledger.consignors import consignor_row
from resale.storage.ledger.event_checks import AHEAD, EARLIEST, LONGEST, MOST
from resale.storage.settlement.entries import NewEntry, enter, known_entry, owed, undo_entry

WHAT = ("payout", "deposit", "deduction")
_LOGGED = {
    "payout": "paid a consignor",
    "deposit": "took money from a consignor",
    "deduction": "took something off a consignor",
}


@dataclass(frozen=True)
class NewMove:
    """What is to be noted. Money in minor units.

    Attributes
    ----------
    consignor : str
        Their number.
    what : str
        ``payout``: the shop paid them; ``deposit``: they paid in; ``deduction``: taken off for
        repairs, fees and the like, with words that say for what.
    payment : str
        How; a deduction moves no money.
    in_advance : bool
        A payout of more than is owed, knowingly.
    """

    consignor: str
    what: str
    amount: int
    day: date
    key: str
    payment: Payment = "cash"
    note: str = ""
    in_advance: bool = False


def note_move(shop: Shop, actor: Actor, new: NewMove, at: datetime) -> None:
    """Enter a payout, a deposit or a deduction.

    Parameters
    ----------
    actor : Actor
        Whoever paid, took it or agreed it.
    at : datetime
        Now, in the shop's zone.

    Raises
    ------
    NotSavedError
        If there is no such consignor.
    BookkeepingError
        If amount, day or words cannot be, or more is paid out than is owed.
    """
    with transaction(shop.records, actor, at) as work:
        agree_shares(work, shop)
        enter_move(work, shop, new)


def enter_move(work: Work, shop: Shop, new: NewMove) -> bool:
    """Enter it inside a transaction that is open.

    Parameters
    ----------
    work : Work
        The open transaction.
    shop : Shop
    new : NewMove
        The payout, deduction or deposit, with its key.

    Returns
    -------
    bool
        Whether it is new: what was sent before under its key is not entered twice.

    Raises
    ------
    NotSavedError, BookkeepingError
        As `note_move` does.
    """
    row = consignor_row(work.session, new.consignor)
    if known_entry(work.session, new.key):
        return False
    _check(new, work.at.date())
    due = owed(work.session, row.id)
    if new.what == "payout" and new.amount > due and not new.in_advance:
        raise BookkeepingError(
            f"only {shop.money.show(max(due, 0))} is owed",
            where=row.number,
            remedy="pay at most that, or say that it is paid in advance",
        )
    entry = NewEntry(new.what, new.day, _postings(new, row.id), new.key, new.note)
    enter(work.session, entry, work.at, work.actor.name)
    work.log(_LOGGED[new.what], row.number)
    return True


def take_back(shop: Shop, actor: Actor, entry: int, key: str, at: datetime) -> int:
    """Take a payout, a deposit or a deduction back; the line itself stays.

    Parameters
    ----------
    actor : Actor
        The lead who does it.
    entry : int
        Its id.
    key : str
        Made by the page once.
    at : datetime
        Now, in the shop's zone.

    Returns
    -------
    int
        Id of the new entry.

    Raises
    ------
    BookkeepingError
        If it cannot be taken back.
    """
    with transaction(shop.records, actor, at) as work:
        found = undo_entry(work.session, entry, key, at, actor.name)
        work.log("took a line of the accounts back", str(entry))
    return found


def _postings(new: NewMove, consignor: int) -> Postings:
    """Debit whoever gets it, credit where it comes from."""
    theirs = new.amount if new.what != "deposit" else -new.amount
    other = Account(CHARGED) if new.what == "deduction" else money(new.payment)
    return {owed_to(consignor): theirs, other: -theirs}


def _check(new: NewMove, today: date) -> None:
    if new.what not in WHAT:
        raise BookkeepingError(
            f"{new.what[:20]!r} is nothing that can be entered here",
            where="accounts",
            remedy=f"use one of {', '.join(WHAT)}",
        )
    if not 0 < new.amount <= MOST:
        raise BookkeepingError(
            f"an amount of {new.amount} minor units is not above 0 and up to {MOST}",
            where=new.consignor[:20],
            remedy="look at the amount",
        )
    if not EARLIEST <= new.day <= today + AHEAD:
        raise BookkeepingError(
            f"the day {new.day} is {'too long ago' if new.day < EARLIEST else 'still to come'}",
            where=new.consignor[:20],
            remedy="look at the date",
        )
    if len(new.note) > LONGEST["note"] or (new.what == "deduction" and not new.note.strip()):
        raise BookkeepingError(
            "a deduction says what it is for, in up to 400 characters",
            where=new.consignor[:20],
            remedy="write it beside the amount",
        )
    if not 0 < len(new.key) <= LONGEST["key"]:
        raise BookkeepingError(
            "this form has lost its key", where="accounts", remedy="open the page again"
        )
