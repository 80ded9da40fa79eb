"""Who is owed what today, and paying them by one list."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy.orm import Session

from resale.selling.consignment.double_entry import BookkeepingError, Payment, Postings
from resale.services.actor import Actor
from resale.services.settlement.payouts import NewMove, enter_move
from resale.services.shop import Shop
from resale.services.transaction import transaction
from resale.storage.ledger.effective_events import event_key
from resale.storage.settlement.entries import account_balances
from resale.storage.settlement.statements import Due, dues


@dataclass(frozen=True)
class NewPayments:
    """A payment list that was paid.

    Attributes
    ----------
    consignors : sequence of str
        Numbers of those who were paid what the list says.
    """

    consignors: Sequence[str]
    payment: Payment
    day: date
    key: str


def dues_now(shop: Shop) -> list[Due]:
    """Say who is owed what today, by number."""
    with Session(shop.records) as session:
        return dues(session)


def due_to(shop: Shop, number: str) -> Due:
    """Say what one consignor is owed today.

    Parameters
    ----------
    shop : Shop
    number : str
        Of a consignor, such as C-0007.

    Returns
    -------
    Due
        Minor units; nothing for a number that nobody has.
    """
    wanted = number.strip().upper()
    return next((one for one in dues_now(shop) if one.number == wanted), Due(wanted, "", 0, 0))


def accounts_now(shop: Shop, last: date | None = None) -> Postings:
    """Add every account up, to a day counted in; all together they are 0.

    Parameters
    ----------
    shop : Shop
    last : date or None, optional
        Last day that counts; None for all that was ever entered.

    Returns
    -------
    Postings
        Minor units by account.
    """
    with Session(shop.records) as session:
        return account_balances(session, last)


def pay(shop: Shop, actor: Actor, new: NewPayments, at: datetime) -> dict[str, int]:
    """Note that everybody named was paid what the list says; all of them or none.

    Parameters
    ----------
    actor : Actor
        Whoever paid.
    at : datetime
        Now, in the shop's zone.

    Returns
    -------
    dict of str to int
        What each was paid now, in minor units; sent again under its key it pays nothing.

    Raises
    ------
    BookkeepingError
        If nobody is named, or somebody is owed nothing by a statement.
    """
    if not new.consignors:
        raise BookkeepingError("nobody is picked", where="Payments", remedy="tick whoever was paid")
    paid = {}
    with transaction(shop.records, actor, at) as work:
        known = {one.number: one for one in dues(work.session)}
        for number in dict.fromkeys(new.consignors):
            due = known.get(number, Due(number, "", 0, 0))
            key = event_key("paid by list", new.key, number)
            move = NewMove(number, "payout", due.to_pay, new.day, key, new.payment)
            if enter_move(work, shop, move):
                paid[number] = due.to_pay
    return paid
