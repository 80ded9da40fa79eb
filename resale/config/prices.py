"""What a shop decides about prices: the desk's wage, bands, tickets, and how old sales count."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from pydantic import AfterValidator

from resale.config.fields import setting
from resale.config.shop import MoneySettings, ShopSettings


@dataclass(frozen=True)
class TicketStep:
    """Tickets below `under` are rounded to multiples of `step` (both in the shop's currency)."""

    under: float
    step: float


# Round figures read well on a ticket: common practice, no source.
TICKET_STEPS = (TicketStep(20, 0.5), TicketStep(100, 1), TicketStep(float("inf"), 5))

# An opinion, common practice, no source: prices of used clothing drift over years, not weeks, and
# a whole year keeps every season in the fit.
HALF_LIFE_DAYS = 365.0

# An opinion, common practice, no source: buyers of old things forgive about a third of what the
# same wear takes off a new one.
OLD_WEAR_COUNTS = 0.7


def _rising_steps(steps: tuple[TicketStep, ...]) -> tuple[TicketStep, ...]:
    unders = [step.under for step in steps]
    if unders != sorted(set(unders)) or not steps or unders[-1] != float("inf"):
        raise ValueError("has to rise and end with a step under inf")
    if any(step.step <= 0 for step in steps):
        raise ValueError("has a step that is not above 0")
    return steps


Steps = Annotated[tuple[TicketStep, ...], AfterValidator(_rising_steps)]


class PriceSettings(MoneySettings):
    """Settings that enter a valuation, or what is learned from sales."""

    wage: float = setting(
        24.0,
        "What an hour at the desk costs; says when to stop looking.",
        unit="currency an hour",
        changes="Which looks and mends are worth their time, from the next valuation on.",
        moves_prices=True,
        ge=0,
    )
    coverage: float = setting(
        0.8,
        "Share of sales that a price band should hold.",
        unit="share",
        changes="How wide bands are, from the next valuation on; the estimate stays.",
        moves_prices=True,
        ge=0.5,
        le=0.99,
    )
    least_ticket: float = setting(
        3.0,
        "Below this an item does not earn its place on the rail.",
        unit="currency",
        changes="What goes out and what is passed on, from the next valuation on.",
        moves_prices=True,
        ge=0,
    )
    ticket_steps: Steps = setting(
        TICKET_STEPS,
        "Tickets under an amount are rounded to a step.",
        unit="currency",
        changes="New tickets; those that are out stay until they are priced again.",
        moves_prices=True,
    )
    old_wear_counts: float = setting(
        OLD_WEAR_COUNTS,
        "What of the discount for wear counts on a thing that is wanted for its age: one whose "
        "label is older than thirty years, or a union or utility label. 1 judges all ages alike. "
        "Smell, mould and pests count in full at any age.",
        unit="share",
        changes="Prices and tiers of such things, from the next valuation on; what sales taught "
        "follows once prices are learned again.",
        moves_prices=True,
        ge=0,
        le=1,
    )
    half_life_days: float = setting(
        HALF_LIFE_DAYS,
        "After so many days a sale counts half when prices are learned.",
        unit="days",
        changes="Prices, once they are learned again.",
        gt=0,
        le=36_500,
    )


class ValuationSettings(ShopSettings, PriceSettings):
    """All that enters a valuation: what the shop decides, and what it calls the tiers."""
