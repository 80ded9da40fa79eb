"""What the Ledger's forms say, as events."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from resale.errors import ReadingError
from resale.money import Money
from resale.selling.consignment.double_entry import PAYMENTS, Payment
from resale.storage.imports.cells.amounts import minor_units
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.transitions import CORRECTED
from resale.web.core.days import read_day

# What may be pressed for an item that stands there; the likeliest first.
BUTTONS: Mapping[str, tuple[str, ...]] = {
    "nowhere": ("taken_in",),
    "back_room": ("put_out", "sold", "ticketed", "passed_on"),
    "on_rail": ("sold", "marked_down", "ticketed", "withdrawn", "passed_on"),
    "sold": ("returned",),
    "gone": (),
}
MOVES_MONEY = frozenset({"sold", "returned", "passed_on"})
PRICED = frozenset({"put_out", "sold", "ticketed", "marked_down", "returned"})
EVENT_WORDS = {
    "taken_in": "Taken in",
    "valued": "Valued",
    "ticketed": "Another ticket",
    "put_out": "Put out",
    "marked_down": "Marked down",
    "sold": "Sold",
    "returned": "Returned",
    "withdrawn": "Withdrawn",
    "passed_on": "Passed on",
    "corrected": "Corrected",
}


def event_from_form(number: str, form: Mapping[str, str], money: Money, today: date) -> NewEvent:
    """Read what happened to an item.

    Parameters
    ----------
    number : str
        Of the item.
    form : mapping of str to str
        Fields what, day, amount, payment, note and key.
    money : Money
        In which the amount is read.
    today : date
        In the shop's zone, where no day is given.

    Raises
    ------
    ReadingError
        If the price or the day cannot be read.
    """
    what, paid = form.get("what", ""), form.get("payment", "")
    return NewEvent(
        number,
        what,
        read_day(form.get("day", ""), today),
        form.get("key", ""),
        read_amount(form.get("amount", ""), money),
        note=" ".join(form.get("note", "").split()),
        data={"payment": read_payment(paid)} if paid and what in MOVES_MONEY else {},
    )


def correction_from_form(
    number: str, event: int, form: Mapping[str, str], money: Money, today: date
) -> NewEvent:
    """Read what should have been written instead of a line.

    Parameters
    ----------
    number : str
        Of the item.
    event : int
        Id of the line that is corrected.
    form : mapping of str to str
        As for `event_from_form`; `never` strikes the line.
    money : Money
        In which the amount is read.
    today : date
        In the shop's zone, where no day is given.
    """
    return NewEvent(
        number,
        CORRECTED,
        read_day(form.get("day", ""), today),
        form.get("key", ""),
        read_amount(form.get("amount", ""), money),
        note=" ".join(form.get("note", "").split()),
        data={"payment": read_payment(form["payment"])} if form.get("payment") else {},
        corrects=event,
        strikes=form.get("never") == "1",
    )


def read_payment(text: str) -> Payment:
    """Read a way of paying.

    Raises
    ------
    ReadingError
        If it is none.
    """
    if text not in PAYMENTS:
        raise ReadingError(
            f"{text[:20]!r} is no way to pay",
            where="payment",
            remedy=f"use one of {', '.join(PAYMENTS)}",
        )
    return text


def read_amount(text: str, money: Money) -> int | None:
    """Read an amount in minor units as people write it; None where none is given.

    Parameters
    ----------
    text : str
        As a person writes it.
    money : Money
        In which it is read.
    """
    return minor_units(text, money) if text.strip() else None


def read_sum(text: str, money: Money) -> int | None:
    """Read a sum that may be nought or below it, in minor units; None where none is given.

    More may be given back in cash on a day than was taken.

    Parameters
    ----------
    text : str
        As a person writes it.
    money : Money
        In which it is read.
    """
    bare = text.strip()
    if bare and not any(one in "123456789" for one in bare) and "0" in bare:
        return 0
    if bare[:1] in {"-", "\N{MINUS SIGN}"}:
        return -minor_units(bare[1:], money)
    return minor_units(bare, money) if bare else None
