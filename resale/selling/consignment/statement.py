"""A statement: what a consignor's account held, what happened since, and what is owed now.

It is closed once and never changed; what is corrected later stands on the next one. All that is
printed is in here, so that it can be printed again to the letter.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from itertools import pairwise
from typing import Any, Literal

from pydantic import TypeAdapter

from resale.errors import ReadingError
from resale.selling.consignment.take_in import Consignor, PriceReason

What = Literal["sale", "return", "correction", "deduction", "deposit", "payout"]


@dataclass(frozen=True)
class StatementLine:
    """Something that changed what is owed. Amounts in minor units.

    Attributes
    ----------
    day : date
        On which it counts.
    words : str
        What was written beside it.
    price : int or None
        What the buyer paid, or got back; only where an item was sold or returned.
    share : Decimal or None
        That was agreed of it.
    amount : int
        What it adds to what is owed to the consignor; below 0 where it takes away.
    """

    day: date
    what: What
    amount: int
    item: str = ""
    kind: str = ""
    size: str = ""
    words: str = ""
    price: int | None = None
    share: Decimal | None = None
    reasons: tuple[PriceReason, ...] = ()


@dataclass(frozen=True)
class NotSold:
    """An item that left the shop unsold in these days."""

    item: str
    kind: str
    size: str
    day: date


@dataclass(frozen=True)
class Statement:
    """An account of one consignor between two days, both counted in.

    Attributes
    ----------
    serial : int
        Counts the consignor's statements from 1; 0 while it is open.
    opening : int
        What was owed when the last one was closed, in minor units; below 0 where they owed.
    still_here : int
        Items that were not sold yet at the end.
    terms : tuple of str
        Sentences under it, as they held when it was closed.
    currency, locale : str
        How its money and days are written.
    closed_at : datetime or None
        In universal time; None while it is open.
    """

    shop: str
    consignor: Consignor
    serial: int
    begin: date
    end: date
    opening: int
    lines: tuple[StatementLine, ...]
    passed_on: tuple[NotSold, ...]
    still_here: int
    terms: tuple[str, ...]
    currency: str
    locale: str
    closed_at: datetime | None = None

    def __post_init__(self) -> None:
        """Refuse days the wrong way round, and lines out of order."""
        if self.end < self.begin:
            raise ReadingError(
                f"the statement ends on {self.end} before it begins on {self.begin}",
                where=self.consignor.number,
                remedy="give a later day",
            )
        if any(later.day < line.day for line, later in pairwise(self.lines)):
            raise ReadingError(
                "the lines of the statement do not follow each other by day",
                where=self.consignor.number,
                remedy="put them in order",
            )

    @property
    def name(self) -> str:
        """What it is called, such as C-0007/3."""
        return f"{self.consignor.number}/{self.serial}" if self.serial else self.consignor.number

    @property
    def closing(self) -> int:
        """What is owed at the end; below 0 where the consignor owes the shop. Minor units."""
        return self.opening + sum(line.amount for line in self.lines)

    @property
    def sums(self) -> list[tuple[What, int]]:
        """What the lines of each sort come to, in minor units; only sorts that there are."""
        return [(what, _sum(self.lines, what)) for what in _SORTS if _has(self.lines, what)]


_SORTS: tuple[What, ...] = ("sale", "return", "correction", "deduction", "deposit", "payout")
_PLAIN: TypeAdapter[Statement] = TypeAdapter(Statement)


def figures_of(statement: Statement) -> dict[str, Any]:
    """Give a statement as plain JSON, without the name of the person."""
    plain: dict[str, Any] = _PLAIN.dump_python(statement, mode="json")
    plain["consignor"] = {"number": statement.consignor.number}
    return plain


def statement_of(figures: dict[str, Any], name: str) -> Statement:
    """Read a statement back.

    Parameters
    ----------
    figures : dict
        As `figures_of` gave them.
    name : str
        Of the consignor, which is kept apart.
    """
    number = figures["consignor"]["number"]
    return _PLAIN.validate_python({**figures, "consignor": {"number": number, "name": name}})


def _has(lines: Iterable[StatementLine], what: What) -> bool:
    return any(line.what == what for line in lines)


def _sum(lines: Iterable[StatementLine], what: What) -> int:
    return sum(line.amount for line in lines if line.what == what)
