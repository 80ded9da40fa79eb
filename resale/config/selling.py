"""What a shop decides about rail, marks and shares: one table for plan, ticket and statement."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise
from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel

from resale.config.fields import setting

# The marks of a shop that never planned any: common practice, no source.
HABIT = (0.0, 0.25, 0.5)

# By their ids; how each lies on its page stands in `resale.selling.tickets.label_stock`.
TicketStock = Literal[
    "a4-3x8",
    "a4-3x7",
    "a4-2x7",
    "a4-4x10",
    "a4-5x13",
    "letter-3x10",
    "letter-2x10",
    "letter-2x5",
    "roll-57x32",
    "roll-62x40",
    "roll-50x30",
    "roll-40x60",
]

TaxScheme = Literal["none", "margin", "full"]


def _rising_marks(marks: tuple[float, ...]) -> tuple[float, ...]:
    falls = any(later < earlier for earlier, later in pairwise(marks))
    if marks and (marks[0] != 0 or falls or marks[-1] >= 1):
        raise ValueError("has to begin with 0 and rise, each below 1; 0.25 is a quarter off")
    return marks


def _some_marks(marks: tuple[float, ...]) -> tuple[float, ...]:
    if not marks:
        raise ValueError("is empty; write [0.0] where the shop never marks down")
    return _rising_marks(marks)


def _real_widths(widths: dict[str, float]) -> dict[str, float]:
    if not all(0 < width <= 200 for width in widths.values()):
        raise ValueError("has a width that is not above 0 and up to 200 cm")
    return widths


class RailSettings(BaseModel):
    """Settings of the rail and of tickets."""

    rail_cm: float = setting(
        600.0,
        "Length of the rail.",
        unit="cm",
        changes="How much the next choice for the rail puts out.",
        gt=0,
        le=1_000_000,
    )
    rail_widths: Annotated[dict[str, float], AfterValidator(_real_widths)] = setting(
        {},
        "Rail that an item of a kind takes up, where it is not the usual.",
        unit="cm",
        changes="How much the next choice for the rail puts out.",
    )
    kind_most: float = setting(
        0.45,
        "Share of the rail's items that one kind should not pass.",
        unit="share",
        changes="The balance of the next choice for the rail.",
        gt=0,
        le=1,
    )
    size_most: float = setting(
        0.15,
        "Share of the rail's items that one size of a kind should not pass.",
        unit="share",
        changes="The balance of the next choice for the rail.",
        gt=0,
        le=1,
    )
    ticket_stock: TicketStock = setting(
        "a4-3x8",
        "Label stock that tickets are printed on.",
        changes="The next sheet of tickets.",
    )
    ticket_address: str = setting(
        "",
        "Address at which phones open the shop, for the mark on tickets.",
        changes="Tickets printed from now on; the marks of those that are out lead where they led.",
        max_length=200,
    )


class SellingSettings(BaseModel):
    """Settings of sales; their terms are written once and hold in plan, ticket and paper."""

    consignor_share: Decimal = setting(
        Decimal("0.5"),
        "Share of a sale that goes to whoever brought it.",
        unit="share",
        changes="Plans, and the share of whoever brings something for the first time from now on. "
        "What was agreed with somebody, or for a thing, stays as it was agreed.",
        moves_prices=True,
        ge=0,
        le=1,
    )
    repairs_charged: bool = setting(
        False,
        "Whether what a repair costs is taken off the consignor's money.",
        changes="Which consigned things are mended first, from now on. Where the shop bears it "
        "alone, a repair has to pay out of the shop's share. Deductions are noted by hand.",
        moves_prices=True,
    )
    rail_cost_day: float = setting(
        0.03,
        "What an item's day on the rail costs.",
        unit="currency a day",
        changes="Markdown plans and choices from now on: a dearer day marks down sooner.",
        moves_prices=True,
        ge=0,
        le=1000,
    )
    period_days: int = setting(
        14,
        "Days between two looks at a price.",
        unit="days",
        changes="Markdown plans, days due and take-in sheets from now on.",
        ge=1,
        le=366,
    )
    periods: int = setting(
        4,
        "Price periods until an item is passed on.",
        unit="periods",
        changes="Markdown plans, days due and take-in sheets from now on.",
        ge=1,
        le=60,
    )
    marks: Annotated[tuple[float, ...], AfterValidator(_rising_marks)] = setting(
        (),
        "Marks that a plan may use; none lets it take any lower price.",
        unit="share off",
        changes="Markdown plans from now on.",
    )
    habit: Annotated[tuple[float, ...], AfterValidator(_some_marks)] = setting(
        HABIT,
        "The shop's present marks, one a period; the last one holds on.",
        unit="share off",
        changes="What plans are set against, and the marks on take-in sheets where no others are "
        "set.",
    )
    pass_on_value: float = setting(
        0.5,
        "What passing an item on brings; below 0 where it costs.",
        unit="currency",
        changes="Markdown plans and choices for the rail from now on.",
        ge=-1e6,
        le=1e6,
    )
    passed_on_to: str = setting(
        "a charity",
        "Where unsold items go.",
        changes="The words of papers printed from now on.",
        min_length=1,
        max_length=80,
    )
    days_to_collect: int = setting(
        7,
        "Days that unsold items wait for their owner.",
        unit="days",
        changes="The words of papers printed from now on.",
        ge=0,
        le=366,
    )
    days_to_pay: int = setting(
        30,
        "Days after a settlement in which it is paid.",
        unit="days",
        changes="The words of papers printed from now on.",
        ge=0,
        le=366,
    )
    tax_scheme: TaxScheme = setting(
        "none",
        "Tax within a sale: none, on the margin, or full, on the whole price.",
        changes="Sales from now on; those that were made stay as they were taxed. Which one you "
        "have to use, and whether your goods qualify, the law of your place decides: ask your "
        "accountant.",
    )
    tax_rate: Decimal = setting(
        Decimal(0),
        "Rate of that tax, as a share of the amount without it; 0.2 is 20 %.",
        unit="share",
        changes="Sales from now on. Ask your accountant which rate holds for your goods.",
        ge=0,
        le=1,
    )
