"""The plain words of take-in sheets and statements: terms, reasons, what happened."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from decimal import Decimal

from resale.selling.consignment.statement import What
from resale.selling.consignment.take_in import ConsignorTerms, PriceReason
from resale.selling.tickets.paper_money import PaperMoney

DayWriter = Callable[[date], str]

HAPPENED: dict[What, str] = {
    "sale": "sold",
    "return": "returned by its buyer",
    "correction": "corrected",
    "deduction": "taken off",
    "deposit": "paid in by you",
    "payout": "paid to you",
}
SUMS: dict[What, str] = {
    "sale": "Your part of what sold",
    "return": "Your part of returns",
    "correction": "Corrections",
    "deduction": "Taken off",
    "deposit": "Paid in by you",
    "payout": "Paid to you",
}
REASONS = (
    "The line under an item says what raised or lowered its price against the usual of its kind."
)
LAW = "Where local law says otherwise, the law goes first."


def percent(share: Decimal) -> str:
    """Write a share in percent, with no more decimals than it has."""
    return f"{(share * 100).normalize():f} %"


def reasons_line(reasons: Sequence[PriceReason], money: PaperMoney) -> str:
    """Write reasons as one line, such as 'wool outside +4.20, moth at the cuff −6.10'.

    Parameters
    ----------
    reasons : sequence of PriceReason
        What moved the price, and by how many minor units.
    money : PaperMoney
        Writes minor units as a paper shows them, with the currency's sign or without.

    Returns
    -------
    str
        Empty where there are no reasons.
    """
    return ", ".join(f"{reason.words} {money.signed(reason.amount)}" for reason in reasons)


def days(number: int) -> str:
    """Write a number of days."""
    return "1 day" if number == 1 else f"{number} days"


def take_in_terms(terms: ConsignorTerms, day: date, write_day: DayWriter) -> list[str]:
    """Write what is agreed when items are taken in, sentence by sentence.

    Parameters
    ----------
    terms : ConsignorTerms
        What was agreed with this consignor.
    day : date
        The day on which the things were brought: from it the days of the terms run.
    write_day : DayWriter
        Writes a day as the shop's papers do.

    Returns
    -------
    list of str
        A sentence each, the law last.
    """
    last = write_day(terms.last_day(day))
    sentences = [
        f"You get {percent(terms.share)} of the price at which an item is sold; the shop keeps "
        "the rest.",
        f"Items are kept on sale for {days(terms.days_kept)}, until {last}.",
    ]
    if terms.marks:
        falls = [f"by {percent(mark)} after {days(after)}" for after, mark in terms.marks]
        sentences.append(f"The first price falls {' and '.join(falls)}.")
    unsold = f"What is unsold then is passed on to {terms.passed_on_to}"
    if terms.days_to_collect:
        unsold = (
            f"What is unsold then waits {days(terms.days_to_collect)} for you to fetch it; after "
            f"that it is passed on to {terms.passed_on_to}"
        )
    sentences.append(f"{unsold}, and nothing is owed for it.")
    sentences.append(f"Money is paid within {days(terms.days_to_pay)} of a settlement.")
    sentences.append(f"The prices are estimates, not promises. {REASONS}")
    return [*sentences, *terms.more, LAW]


def statement_terms(terms: ConsignorTerms, money: PaperMoney) -> list[str]:
    """Write how a statement was made, sentence by sentence.

    Parameters
    ----------
    terms : ConsignorTerms
        What was agreed with this consignor.
    money : PaperMoney
        Writes minor units, for fees and the least payout.

    Returns
    -------
    list of str
        A sentence each, the law last.
    """
    return [
        "Your share is a part of the price that a buyer pays, as it was agreed when the item was "
        "taken in; it stands beside each sale, and the shop keeps the rest.",
        f"Your part of each item is rounded to {money.plain(1)}, a half in your favour.",
        "Where a buyer brings an item back, your part of what they get back is taken off.",
        REASONS,
        f"What was passed on went to {terms.passed_on_to}; nothing is owed for it.",
        f"The amount is paid within {days(terms.days_to_pay)} of this statement.",
        "A closed statement is never changed; what has to be put right stands on the next one.",
        *terms.more,
        LAW,
    ]
