"""What a shop decides about rail, marks and shares: one table for plan, ticket and statement."""

from __future__ import annotations

from decimal import Decimal
from functools import cached_property
from itertools import pairwise
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, Field

from resale.errors import SettingError
from resale.selling.consignment.settlement import ConsignorTerms
from resale.selling.markdown.terms import HABIT, SellingTerms
from resale.selling.rail.balance import RAIL_WIDTHS, rail_width
from resale.selling.tickets.labels import stock_named


def setting(default: Any, unit: str, sentence: str, **limits: Any) -> Any:
    """Describe one row of the table of settings."""
    return Field(default, description=sentence, json_schema_extra={"unit": unit}, **limits)


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


def _known_stock(name: str) -> str:
    try:
        return stock_named(name).id
    except SettingError as fault:
        raise ValueError(f"is no label stock; {fault.remedy}") from None


class SellingSettings(BaseModel):
    """Settings of the second desk; the sale's terms are written once and hold everywhere."""

    consignor_share: Decimal = setting(
        Decimal("0.5"), "share", "Share of a sale that goes to whoever brought it.", ge=0, le=1
    )
    rail_cm: float = setting(600.0, "cm", "Length of the rail.", gt=0, le=1_000_000)
    rail_cost_day: float = setting(
        0.03, "currency a day", "What an item's day on the rail costs.", ge=0, le=1000
    )
    rail_widths: Annotated[dict[str, float], AfterValidator(_real_widths)] = setting(
        {}, "cm", "Rail that an item of a kind takes up, where it is not the usual."
    )
    kind_most: float = setting(
        0.45, "share", "Share of the rail's items that one kind should not pass.", gt=0, le=1
    )
    size_most: float = setting(
        0.15,
        "share",
        "Share of the rail's items that one size of a kind should not pass.",
        gt=0,
        le=1,
    )
    period_days: int = setting(14, "days", "Days between two looks at a price.", ge=1, le=366)
    periods: int = setting(4, "", "Price periods until an item is passed on.", ge=1, le=60)
    marks: Annotated[tuple[float, ...], AfterValidator(_rising_marks)] = setting(
        (), "share off", "Marks that a plan may use; none lets it take any lower price."
    )
    habit: Annotated[tuple[float, ...], AfterValidator(_some_marks)] = setting(
        HABIT, "share off", "The shop's present marks, one a period; the last one holds on."
    )
    pass_on_value: float = setting(
        0.5, "currency", "What passing an item on brings; below 0 where it costs.", ge=-1e6, le=1e6
    )
    passed_on_to: str = setting(
        "a charity", "", "Where unsold items go.", min_length=1, max_length=80
    )
    days_to_collect: int = setting(
        7, "days", "Days that unsold items wait for their owner.", ge=0, le=366
    )
    days_to_pay: int = setting(
        30, "days", "Days after a settlement in which it is paid.", ge=0, le=366
    )
    ticket_stock: Annotated[str, AfterValidator(_known_stock)] = setting(
        "a4-3x8", "", "Label stock that tickets are printed on."
    )
    ticket_address: str = setting(
        "", "", "Address at which phones open the shop, for the mark on tickets.", max_length=200
    )

    @cached_property
    def selling_terms(self) -> SellingTerms:
        """What enters mending and markdown plans."""
        return SellingTerms(
            consignor_share=float(self.consignor_share),
            rail_cost_item=self.rail_cost_day,
            period_days=float(self.period_days),
            periods=self.periods,
            marks=self.marks or None,
            pass_on_value=self.pass_on_value,
            habit=self.habit,
        )

    @cached_property
    def consignor_terms(self) -> ConsignorTerms:
        """What is agreed with a consignor; the same share, days and marks as in the plans."""
        marks = self.marks or self.habit
        steps = enumerate(marks[: self.periods])
        return ConsignorTerms(
            share=self.consignor_share,
            days_kept=self.period_days * self.periods,
            passed_on_to=self.passed_on_to,
            # A free plan promises no mark beforehand; the habit's are what may be agreed.
            marks=tuple(
                (place * self.period_days, Decimal(str(mark))) for place, mark in steps if mark
            ),
            days_to_collect=self.days_to_collect,
            days_to_pay=self.days_to_pay,
        )

    def width(self, kind: str) -> float:
        """Centimetres of rail that an item of a kind takes up."""
        return rail_width(kind, {**RAIL_WIDTHS, **self.rail_widths})
