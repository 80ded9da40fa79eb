"""Several things sold in one sale: paid together, with a discount that has a reason."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from sqlalchemy.orm import Session

from resale.selling.consignment.double_entry import Payment
from resale.services.actor import Actor
from resale.services.ledger.append_events import record
from resale.services.ledger.sell import asking_price
from resale.services.sent import Sent, once
from resale.services.shop import Shop
from resale.services.transaction import Work, transaction
from resale.storage.ledger.effective_events import event_key
from resale.storage.ledger.event_checks import NewEvent
from resale.storage.ledger.transitions import LedgerError
from resale.storage.settlement.day_money import tax_of

LONGEST_REASON = 120
MOST_LINES = 100


@dataclass(frozen=True)
class BasketLine:
    """A thing in a basket. Money in minor units.

    Attributes
    ----------
    price : int or None
        Before the discount; what its ticket says where None.
    discount : int
        Taken off that.
    """

    number: str
    price: int | None = None
    discount: int = 0


@dataclass(frozen=True)
class NewBasket:
    """What is bought in one sale.

    Attributes
    ----------
    paid : mapping of payment to int or None
        How much in which way, minor units; None is the rest. All in cash where empty.
    reason : str
        For the discounts; they need one.
    """

    lines: Sequence[BasketLine]
    key: str
    day: date
    paid: Mapping[Payment, int | None] = field(default_factory=dict)
    reason: str = ""
    note: str = ""


@dataclass(frozen=True)
class SoldLine:
    """A thing as it was sold. Money in minor units."""

    event: int
    number: str
    price_minor: int
    discount_minor: int
    paid_minor: int
    tax_minor: int


@dataclass(frozen=True)
class SoldBasket:
    """A sale as it was written down. Money in minor units."""

    sale: str
    day: date
    lines: list[SoldLine]
    total_minor: int
    tax_minor: int
    paid: dict[str, int]
    currency: str


def sell_basket(
    shop: Shop, actor: Actor, basket: NewBasket, at: datetime, sent: Sent | None = None
) -> SoldBasket:
    """Sell everything in a basket, or nothing of it.

    Parameters
    ----------
    actor : Actor
        Whoever sells it.
    at : datetime
        Now, in the shop's zone.
    sent : Sent, optional
        How a device sent it, so that it is done once.

    Raises
    ------
    NotSavedError
        If there is no such item.
    HeldError
        If one is held.
    LedgerError
        If one cannot be sold, a discount has no reason, or what was paid is not the total.
    KeyTakenError
        If the device's key came with something else.
    """
    with transaction(shop.records, actor, at) as work:
        return once(work, sent, SoldBasket, lambda: _sell(work, shop, basket))


def priced_lines(shop: Shop, numbers: Sequence[str], at: datetime) -> list[tuple[str, int | None]]:
    """Say what each thing of a basket would cost by its ticket, in minor units; None: no price.

    Parameters
    ----------
    numbers : sequence of str
        Of the items.
    at : datetime
        Now, in the shop's zone.

    Raises
    ------
    NotSavedError
        If there is no such item.
    """
    with Session(shop.records) as session:
        return [
            (number, asking_price(session, shop, number, at.date()))
            for number in dict.fromkeys(numbers)
        ]


def _sell(work: Work, shop: Shop, basket: NewBasket) -> SoldBasket:
    _check(basket)
    today, sale = work.at.date(), event_key("basket", basket.key)[:12]
    prices = [_price(work, shop, line, today) for line in basket.lines]
    amounts = [price - line.discount for price, line in zip(prices, basket.lines, strict=True)]
    left = _paid(basket, sum(amounts), shop)
    paid, found = dict(left), []
    for line, price, amount in zip(basket.lines, prices, amounts, strict=True):
        data: dict[str, object] = {"sale": sale, "paid": _take(left, amount)}
        if line.discount:
            data["discount"] = {"minor": line.discount, "reason": basket.reason.strip()}
        key = event_key("basket", basket.key, line.number)
        new = NewEvent(line.number, "sold", basket.day, key, amount, basket.note, data)
        done = record(work, shop, new, None)
        tax = tax_of(work.session, [done.event]).get(done.event, 0)
        found.append(SoldLine(done.event, done.number, price, line.discount, amount, tax))
    return SoldBasket(
        sale,
        basket.day,
        found,
        sum(amounts),
        sum(line.tax_minor for line in found),
        {payment: part for payment, part in paid.items() if part},
        shop.settings.currency,
    )


def _price(work: Work, shop: Shop, line: BasketLine, today: date) -> int:
    price = line.price
    if price is None:
        price = asking_price(work.session, shop, line.number, today)
    if price is None:
        raise LedgerError(
            "no price is known at which it could be sold",
            where=line.number,
            remedy="give the price",
        )
    if line.discount >= price:
        raise LedgerError(
            f"the discount takes off {shop.money.show(line.discount)} of {shop.money.show(price)}",
            where=line.number,
            remedy="take off less than the price",
        )
    return price


def _paid(basket: NewBasket, total: int, shop: Shop) -> dict[Payment, int]:
    """Settle how much was paid in which way; together it is the total."""
    said = dict(basket.paid) or {"cash": None}
    known = sum(part for part in said.values() if part is not None)
    open_ones = [payment for payment, part in said.items() if part is None]
    rest = total - known
    if len(open_ones) > 1 or rest < 0 or (rest and not open_ones):
        raise LedgerError(
            f"{shop.money.show(total)} is to be paid, and {shop.money.show(known)} is named",
            where="paid",
            remedy="let the ways of paying come to the total",
        )
    return {payment: rest if part is None else part for payment, part in said.items()}


def _take(left: dict[Payment, int], amount: int) -> dict[Payment, int]:
    """Pay one thing out of what was paid for all, one way after the other."""
    parts = {}
    for payment in list(left):
        part = min(left[payment], amount)
        left[payment] -= part
        amount -= part
        if part:
            parts[payment] = part
    return parts


def _check(basket: NewBasket) -> None:
    numbers = [line.number for line in basket.lines]
    if not 0 < len(numbers) <= MOST_LINES:
        raise LedgerError(
            f"{len(numbers)} things are in the basket",
            where="basket",
            remedy=f"put 1 to {MOST_LINES} in",
        )
    twice = next((one for one in numbers if numbers.count(one) > 1), None)
    if twice:
        raise LedgerError("it is in the basket twice", where=twice, remedy="take one out")
    reason = basket.reason.strip()
    if any(line.discount for line in basket.lines) and not 0 < len(reason) <= LONGEST_REASON:
        raise LedgerError(
            f"a discount has a reason, in up to {LONGEST_REASON} characters",
            where="discount",
            remedy="say why it is given",
        )
    if any(line.discount < 0 for line in basket.lines):
        raise LedgerError(
            "a discount is below 0", where="discount", remedy="give what is taken off"
        )
