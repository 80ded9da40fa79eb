"""What a shop decides for itself, as far as it enters mending and markdown plans."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Self

from resale.config.selling import HABIT, SellingSettings
from resale.errors import SettingError
from resale.money import Money


@dataclass(frozen=True)
class SellingTerms:
    """Terms of one shop. All amounts are in the shop's currency.

    Attributes
    ----------
    consignor_share : float
        Share of the sale price that goes to whoever brought the item; 0 for donated goods.
    rail_cost_item, rail_cost_cm : float
        What a day on the rail costs: for the item as such, and for each centimetre it takes up.
    period_days : float
        Days between two looks at the price.
    periods : int
        Price periods until the item is passed on.
    marks : tuple of float, or None
        Shares off the first ticket that the shop allows, rising from 0 (0.25 is a quarter off);
        None lets the plan take any ticket price that is not above the last.
    ticket_range : (float, float)
        Lowest and highest ticket that a plan may ask, as multiples of the estimate.
    pass_on_value : float
        What passing an item on brings the shop; below 0 where it costs.
    early_pass_on : bool
        Whether an item may be passed on before its last period.
    habit : tuple of float
        The marks that the shop uses now, one a period; the last one holds on.
    gain_share : float
        Share of a gain in price that is set against the cost of mending: 1 where the shop owns
        the item or takes the cost off the consignor's money, 1 less the consignor's share where
        it bears the cost alone.
    least_mending_net : float
        Expected net below which mending is not worth the fuss.
    money : Money, optional
        How the shop writes amounts in sentences; plain figures where omitted.
    """

    consignor_share: float = 0.5
    rail_cost_item: float = 0.03
    rail_cost_cm: float = 0.0
    period_days: float = 14.0
    periods: int = 4
    marks: tuple[float, ...] | None = None
    ticket_range: tuple[float, float] = (0.3, 1.6)
    pass_on_value: float = 0.5
    early_pass_on: bool = True
    habit: tuple[float, ...] = HABIT
    gain_share: float = 1.0
    least_mending_net: float = 1.0
    money: Money | None = None

    def __post_init__(self) -> None:
        _between("consignor_share", self.consignor_share, 0, 1)
        _between("gain_share", self.gain_share, 0, 1)
        _between("period_days", self.period_days, 0.5, 366)
        _between("periods", self.periods, 1, 60)
        for name in ("rail_cost_item", "rail_cost_cm", "least_mending_net"):
            _between(name, getattr(self, name), 0, 1e9)
        low, high = self.ticket_range
        _between("ticket_range", low, 0.01, 1)
        _between("ticket_range", high, 1, 100)
        _check_marks("habit", self.habit)
        if self.marks is not None:
            _check_marks("marks", self.marks)

    @classmethod
    def of(cls, settings: SellingSettings) -> Self:
        """Give the terms of a shop with these settings."""
        return cls(
            consignor_share=float(settings.consignor_share),
            rail_cost_item=settings.rail_cost_day,
            period_days=float(settings.period_days),
            periods=settings.periods,
            marks=settings.marks or None,
            pass_on_value=settings.pass_on_value,
            habit=settings.habit,
        )

    def habit_marks(self) -> tuple[float, ...]:
        """The shop's present mark in each period."""
        return tuple(self.habit[min(t, len(self.habit) - 1)] for t in range(self.periods))


def _between(name: str, value: float, least: float, most: float) -> None:
    if not least <= value <= most:
        raise SettingError(f"{name} is {value}", remedy=f"give a number from {least:g} to {most:g}")


def _check_marks(name: str, marks: tuple[float, ...]) -> None:
    falls = any(later < earlier for earlier, later in pairwise(marks))
    if not marks or marks[0] != 0 or falls or not all(0 <= mark < 1 for mark in marks):
        raise SettingError(
            f"{name} is {', '.join(f'{mark:g}' for mark in marks) or 'empty'}",
            remedy="begin with 0 and let the marks rise, each below 1; 0.25 is a quarter off",
        )
