"""Double entry: whatever is written down moves money between accounts and creates none.

An entry holds postings whose amounts sum to zero; a debit is above 0, a credit below. So all
accounts together are zero after any number of entries, and a slip of the pen shows at once.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from resale.errors import ResaleError

Payment = Literal["cash", "card", "transfer", "other"]
PAYMENTS: tuple[Payment, ...] = get_args(Payment)
"""How money changes hands; each has an account of its own."""

CONSIGNOR, SHOP_PART, OWN_SALES = "consignor", "shop part", "own sales"
TAX, CHARGED, PASSED_ON = "tax due", "charged", "passed on"


class BookkeepingError(ResaleError):
    """Something was to be entered that cannot stand in the accounts."""


@dataclass(frozen=True, order=True)
class Account:
    """Where money is, whose it is, or where it came from.

    Attributes
    ----------
    name : str
        ``money: cash`` and its like; ``consignor``: what is owed to one of them; ``shop part``:
        the shop's part of what it sold for others; ``own sales``; ``tax due``; ``charged``: taken
        off consignors for repairs and fees; ``passed on``: what that brought.
    consignor : int
        Row of the consignor, for ``consignor`` alone; else 0.
    """

    name: str
    consignor: int = 0


Postings = Mapping[Account, int]
"""Minor units by account, no nought among them."""


def money(payment: Payment) -> Account:
    """Name the account of a kind of payment."""
    return Account(f"money: {payment}")


def owed_to(consignor: int) -> Account:
    """Name the account of what is owed to a consignor."""
    return Account(CONSIGNOR, consignor)


def added(*many: Postings) -> Postings:
    """Add postings up by account, and leave out what comes to nothing."""
    total: Counter[Account] = Counter()
    for postings in many:
        for account, amount in postings.items():
            total[account] += amount
    return {account: amount for account, amount in sorted(total.items()) if amount}


def reversed_of(postings: Postings) -> Postings:
    """Give what takes postings back."""
    return {account: -amount for account, amount in postings.items()}


def check_balance(postings: Postings) -> None:
    """Refuse an entry that would make money, or lose some.

    Raises
    ------
    BookkeepingError
        If the amounts do not sum to zero.
    """
    left = sum(postings.values())
    if left:
        raise BookkeepingError(
            f"the entry is out of balance by {left} minor units",
            where="accounts",
            remedy="enter where the rest went, or came from",
        )
