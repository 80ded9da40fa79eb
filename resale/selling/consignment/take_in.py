"""What a consignor brings, and on which terms; amounts in minor units."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Self

from resale.config.selling import SellingSettings
from resale.errors import ReadingError, SettingError
from resale.selling.consignment.shares import share_of


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
    def of(cls, settings: SellingSettings, share: Decimal | None = None) -> Self:
        """Give what is agreed in a shop with these settings: days and marks as in its plans.

        A free plan promises no mark beforehand; the habit's are what may be agreed.

        Parameters
        ----------
        settings : SellingSettings
        share : Decimal, optional
            Agreed with the consignor; the shop's own where omitted.
        """
        marks = settings.marks or settings.habit
        steps = enumerate(marks[: settings.periods])
        return cls(
            share=settings.consignor_share if share is None else share,
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
    ticket : int or None
        The first price asked; None where none is proposed yet.
    low, high : int
        Most items like it sell between these.
    reasons : tuple of PriceReason
    share : Decimal or None
        Where another share of its price was agreed than of the rest.
    """

    number: str
    kind: str
    size: str
    ticket: int | None
    low: int
    high: int
    reasons: tuple[PriceReason, ...] = ()
    share: Decimal | None = None

    def __post_init__(self) -> None:
        """Refuse a band upside down."""
        if not 0 <= self.low <= self.high or (self.ticket or 0) < 0:
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

    def agreed(self, item: TakeInItem) -> Decimal:
        """The share that was agreed for an item."""
        return self.terms.share if item.share is None else item.share

    def to_consignor(self, item: TakeInItem) -> int | None:
        """What the first price would bring the consignor; None where none is proposed."""
        return None if item.ticket is None else share_of(item.ticket, self.agreed(item))


def _refuse_twice(numbers: Sequence[str]) -> None:
    for number, times in Counter(numbers).most_common(1):
        if times > 1:
            raise ReadingError(
                f"item {number} is listed {times} times", remedy="list each item once"
            )
