"""What a sale, a return and what follows mean for the accounts: one rule for till and statement.

A sale is split between whoever brought the thing, the tax and the shop. A return posts the sale at
what the buyer finally paid less the sale as it stood, so that a return of everything takes back
everything, to the last unit.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal

from resale.selling.consignment.double_entry import (
    OWN_SALES,
    PASSED_ON,
    SHOP_PART,
    TAX,
    Account,
    Payment,
    Postings,
    added,
    money,
    owed_to,
    reversed_of,
)
from resale.selling.consignment.shares import share_of
from resale.selling.consignment.tax import NO_TAX, TaxTerms, contained_tax


@dataclass(frozen=True)
class Brought:
    """Who brought a thing, and which share of its sale price was agreed (0 to 1)."""

    consignor: int
    share: Decimal


@dataclass(frozen=True)
class MoneyMoved:
    """A line of the Ledger by which money changed hands. Amounts in minor units.

    Attributes
    ----------
    event : int
        Its id.
    what : str
        ``sold``, ``returned`` or ``passed_on``.
    paid : mapping of payment to int
        How; cash where nothing is said.
    brought : Brought or None
        As it was agreed when this was sold; None for the shop's own.
    entered : bool
        False for a sale of before the accounts: it was settled then, and only its return counts.
    """

    event: int
    what: str
    day: date
    amount: int
    paid: Mapping[Payment, int] = field(default_factory=dict)
    brought: Brought | None = None
    tax: TaxTerms = NO_TAX
    entered: bool = True


Place = tuple[int, date]
"""An event, and the day on which it happened."""


def postings_of(lines: Iterable[MoneyMoved]) -> dict[Place, Postings]:
    """Say what the accounts should hold of one item's life, line by line.

    Parameters
    ----------
    lines : iterable of MoneyMoved
        Of one item, in the order in which they happened, corrections applied.

    Returns
    -------
    dict of (event, day) to Postings
    """
    found: dict[Place, Postings] = {}
    sale: MoneyMoved | None = None
    for line in lines:
        place = (line.event, line.day)
        if line.what == "sold":
            sale = line
            if line.entered:
                found[place] = added(_moved(line, 1), _split(line, line.amount))
        elif line.what == "returned" and sale is not None:
            kept = _split(sale, sale.amount - line.amount)
            undone = reversed_of(_split(sale, sale.amount))
            # Where nobody says how the money went back, it went as it came.
            back = line if line.paid else replace(line, paid=sale.paid)
            found[place] = added(_moved(back, -1), kept, undone)
        elif line.what == "passed_on":
            found[place] = added(_moved(line, 1), {Account(PASSED_ON): -line.amount})
    return {place: postings for place, postings in found.items() if postings}


def consignor_part(price: int, brought: Brought | None) -> int:
    """What whoever brought a thing gets of its price (minor units).

    Parameters
    ----------
    price : int
        What was paid, or what the ticket said, in minor units.
    brought : Brought or None
        Under which terms the thing was brought; None where it is the shop's own.

    Returns
    -------
    int
        Minor units; 0 for the shop's own.
    """
    return share_of(price, brought.share) if brought else 0


def paid_in_parts(amount: int, paid: Mapping[Payment, int]) -> dict[Payment, int]:
    """Fit what was said of a payment to an amount that may have been corrected since.

    Parameters
    ----------
    amount : int
        What is to be paid in all (minor units), as it stands after a correction.
    paid : mapping of Payment to int
        What was said of the payment: minor units by the way of paying.

    Returns
    -------
    dict of Payment to int
        Parts that add up to the amount. What is too much is taken off the last ways, what is
        missing is added to the last one, or to cash where nothing was said.

    Examples
    --------
    >>> paid_in_parts(900, {"cash": 500, "card": 500})
    {'cash': 500, 'card': 400}
    >>> paid_in_parts(1200, {"card": 1000}), paid_in_parts(1200, {})
    ({'card': 1200}, {'cash': 1200})
    """
    left, parts = amount, dict[Payment, int]()
    for payment, said in paid.items():
        parts[payment] = min(said, left)
        left -= parts[payment]
    if left:
        # More than was said of it: it came in the way of the rest.
        last: Payment = next(reversed(parts), "cash")
        parts[last] = parts.get(last, 0) + left
    return {payment: part for payment, part in parts.items() if part}


def _moved(line: MoneyMoved, sign: int) -> Postings:
    parts = paid_in_parts(line.amount, line.paid)
    return {money(payment): sign * part for payment, part in parts.items()}


def _split(sale: MoneyMoved, price: int) -> Postings:
    """Credit those whose a price is."""
    theirs = consignor_part(price, sale.brought)
    tax = contained_tax(price, theirs, sale.tax)
    ours = Account(SHOP_PART if sale.brought else OWN_SALES)
    parts = {ours: -(price - theirs - tax), Account(TAX): -tax}
    if sale.brought:
        parts[owed_to(sale.brought.consignor)] = -theirs
    return parts
