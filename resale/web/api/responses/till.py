"""What the API answers of sales and of a day. Money is in minor units of its currency."""

from __future__ import annotations

from datetime import date

from pydantic import Field

from resale.web.api.responses.base import Answer


class Closing(Answer):
    """A day of the till as it was closed: it is never changed."""

    day: date
    since: date = Field(description="The first day that it closes.")
    expected_minor: dict[str, int] = Field(description="By the way of paying.")
    counted_minor: int | None = Field(description="Cash counted; None where nobody counted.")
    difference_minor: int | None = Field(description="Counted beyond what should be there.")
    note: str
    by: str


class SoldLine(Answer):
    """A thing as it was sold."""

    event: int
    number: str
    price_minor: int = Field(description="Before the discount.")
    discount_minor: int
    paid_minor: int
    tax_minor: int = Field(description="Within what was paid, by the shop's setting.")


class Sale(Answer):
    """A sale as it was written down."""

    sale: str = Field(description="The same in all lines of one sale.")
    day: date
    lines: list[SoldLine]
    total_minor: int
    tax_minor: int
    paid: dict[str, int] = Field(description="By the way of paying, in minor units.")
    currency: str


class DayLine(Answer):
    """Something that happened to an item on a day, corrections included."""

    event: int
    number: str
    what: str
    amount_minor: int | None
    paid: dict[str, int] = Field(description="In above 0, out below; where money moved.")
    tax_minor: int
    discount_minor: int
    discount_reason: str
    sale: str | None = Field(description="What was sold together has the same.")
    note: str
    by: str


class MoneyLine(Answer):
    """Money that counts on a day beside its sales: payouts, deposits, and corrections."""

    what: str
    about_day: date = Field(description="Of what it is about.")
    number: str | None = Field(description="Of the item, where there is one.")
    paid: dict[str, int] = Field(description="In above 0, out below.")
    note: str
    by: str


class DayLines(Answer):
    """A day line by line."""

    day: date
    currency: str
    decimals: int
    lines: list[DayLine]
    beside: list[MoneyLine]


class Totals(Answer):
    """What came in and went out on a day."""

    day: date
    currency: str
    decimals: int
    counts: dict[str, int]
    sold_minor: int
    returned_minor: int
    passed_on_minor: int
    net_minor: int = Field(description="Sold, less what was given back, and for passing on.")
    till_minor: dict[str, int] = Field(
        description="What counts on this day by the way of paying, payouts and corrections in it."
    )
    closed: Closing | None = Field(description="None while the day is open.")
