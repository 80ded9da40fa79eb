"""What a consignor brought, what became of it, and what is owed: exact, in minor units.

The share of each sold item is rounded to the minor unit, half a unit in the consignor's favour; the
shop keeps the rest of that item's price. So every line adds up, and every column does.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from typing import Literal, Self

from resale.config.selling import SellingSettings
from resale.errors import ReadingError, SettingError

Outcome = Literal["sold", "unsold", "returned", "passed_on"]


@dataclass(frozen=True)
class Consignor:
    """Whom a sheet is for: no more is printed of a person than this."""

    number: str
    name: str = ""


@dataclass(frozen=True)
class ConsignorTerms:
    """What was agreed with the consignor.

    Attributes
    ----------
    share : Decimal
        The consignor's share of a sale price, from 0 to 1.
    days_kept : int
        Days on sale, from the day of taking in.
    marks : tuple of (int, Decimal)
        Days after which the ticket falls, and the share taken off the first ticket.
    days_to_collect : int
        Days that unsold items wait for their owner before they are passed on.
    passed_on_to : str
        Where unsold items go, such as 'a charity'.
    days_to_pay : int
        Days after a settlement in which it is paid.
    more : tuple of str
        The shop's own sentences.
    """

    share: Decimal
    days_kept: int
    passed_on_to: str
    marks: tuple[tuple[int, Decimal], ...] = ()
    days_to_collect: int = 0
    days_to_pay: int = 30
    more: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Refuse terms that mean nothing."""
        for name, share in (("share", self.share), *(("mark", mark) for _, mark in self.marks)):
            if not 0 <= share <= 1:
                raise SettingError(
                    f"the consignor's {name} is {share}", remedy="give a number from 0 to 1"
                )
        if self.days_kept < 1 or self.days_to_collect < 0 or self.days_to_pay < 0:
            raise SettingError("an item is kept for no day", remedy="give whole days above 0")

    @classmethod
    def of(cls, settings: SellingSettings) -> Self:
        """Give what is agreed in a shop with these settings: share, days and marks as in its plans.

        A free plan promises no mark beforehand; the habit's are what may be agreed.
        """
        marks = settings.marks or settings.habit
        steps = enumerate(marks[: settings.periods])
        return cls(
            share=settings.consignor_share,
            days_kept=settings.period_days * settings.periods,
            passed_on_to=settings.passed_on_to,
            marks=tuple(
                (place * settings.period_days, Decimal(str(mark))) for place, mark in steps if mark
            ),
            days_to_collect=settings.days_to_collect,
            days_to_pay=settings.days_to_pay,
        )

    def last_day(self, taken_in: date) -> date:
        """The last day on sale of what was taken in on a day."""
        return taken_in + timedelta(days=self.days_kept)


@dataclass(frozen=True)
class PriceReason:
    """One reason for a price: what was seen, and what it does to the price (minor units)."""

    words: str
    amount: int


@dataclass(frozen=True)
class TakeInItem:
    """One item as it is taken in. Amounts in minor units.

    Attributes
    ----------
    ticket : int
        The first price asked.
    low, high : int
        Most items like it sell between these.
    reasons : tuple of PriceReason
    """

    number: str
    kind: str
    size: str
    ticket: int
    low: int
    high: int
    reasons: tuple[PriceReason, ...] = ()

    def __post_init__(self) -> None:
        """Refuse a band upside down."""
        if not 0 <= self.low <= self.high or self.ticket < 0:
            raise ReadingError(
                "the estimate does not run from low to high",
                where=self.number,
                remedy="value the item again",
            )


@dataclass(frozen=True)
class TakeIn:
    """All that one consignor brings on one day."""

    shop: str
    consignor: Consignor
    day: date
    terms: ConsignorTerms
    items: tuple[TakeInItem, ...]

    def __post_init__(self) -> None:
        _refuse_twice([item.number for item in self.items])


@dataclass(frozen=True)
class SettledItem:
    """What became of one item. Amounts in minor units.

    Attributes
    ----------
    ticket : int
        The first price asked.
    day : date or None
        When it was sold, returned or passed on.
    sold_for : int or None
        Only for what was sold.
    """

    number: str
    kind: str
    size: str
    ticket: int
    outcome: Outcome
    day: date | None = None
    sold_for: int | None = None
    reasons: tuple[PriceReason, ...] = ()

    def __post_init__(self) -> None:
        """Refuse a sale without a price, and a price without a sale."""
        if (self.outcome == "sold") != (self.sold_for is not None) or (self.sold_for or 0) < 0:
            raise ReadingError(
                "a sold item has a price of 0 or more, and no other item has one",
                where=self.number,
                remedy="look the sale up in the Ledger",
            )


@dataclass(frozen=True)
class Deduction:
    """Something taken off what is owed (minor units), such as mending that was agreed."""

    words: str
    amount: int

    def __post_init__(self) -> None:
        """Refuse a deduction that would add."""
        if self.amount < 0:
            raise ReadingError(
                f"the deduction for {self.words} is below 0", remedy="give what is taken off"
            )


@dataclass(frozen=True)
class Settlement:
    """An account of one consignor's items between two days."""

    shop: str
    consignor: Consignor
    begin: date
    end: date
    terms: ConsignorTerms
    items: tuple[SettledItem, ...]
    deductions: tuple[Deduction, ...] = ()
    paid_before: int = 0

    def __post_init__(self) -> None:
        _refuse_twice([item.number for item in self.items])
        if self.end < self.begin:
            raise ReadingError(
                f"the account ends on {self.end} before it begins on {self.begin}",
                remedy="swap the two days",
            )

    def consignor_part(self, item: SettledItem) -> int:
        """What the consignor gets of an item (minor units)."""
        return share_of(item.sold_for or 0, self.terms.share)

    def shop_part(self, item: SettledItem) -> int:
        """What the shop keeps of an item (minor units)."""
        return (item.sold_for or 0) - self.consignor_part(item)

    @property
    def sold_total(self) -> int:
        """Sum of sale prices."""
        return sum(item.sold_for or 0 for item in self.items)

    @property
    def consignor_total(self) -> int:
        """Sum of the consignor's parts."""
        return sum(self.consignor_part(item) for item in self.items)

    @property
    def shop_total(self) -> int:
        """Sum of the shop's parts."""
        return sum(self.shop_part(item) for item in self.items)

    @property
    def to_pay(self) -> int:
        """What is still owed; below 0 where the consignor owes the shop."""
        return self.consignor_total - sum(d.amount for d in self.deductions) - self.paid_before

    def counts(self) -> dict[Outcome, int]:
        """Items by what became of them, all outcomes named."""
        found = Counter(item.outcome for item in self.items)
        outcomes: tuple[Outcome, ...] = ("sold", "unsold", "returned", "passed_on")
        return {outcome: found[outcome] for outcome in outcomes}


def share_of(price: int, share: Decimal) -> int:
    """Give a share of a price in whole minor units, half a unit up.

    Examples
    --------
    >>> share_of(1235, Decimal("0.5"))
    618
    """
    return int((price * share).quantize(Decimal(1), rounding=ROUND_HALF_UP))


def _refuse_twice(numbers: Sequence[str]) -> None:
    for number, times in Counter(numbers).most_common(1):
        if times > 1:
            raise ReadingError(
                f"item {number} is listed {times} times", remedy="list each item once"
            )
