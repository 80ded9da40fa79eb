"""What a shop decides for itself, as far as it enters a valuation."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Self

import numpy as np

from resale.config.prices import TICKET_STEPS, TicketStep, ValuationSettings
from resale.pricing.model.columns.terms import Array


@dataclass(frozen=True)
class ShopTerms:
    """Terms of one shop. All amounts are in the shop's currency.

    Attributes
    ----------
    wage : float
        What an hour of a sorter at the desk costs.
    coverage : float
        Share of sales that a price band should hold.
    least_ticket : float
        An item whose ticket would be lower does not earn its place on the rail.
    decimals : int
        Decimals of the currency (2 for cents, 0 for yen).
    mispricing_cost : float
        Share of the price lost per unit of squared log error of the ticket. An opinion: where
        demand falls off exponentially, revenue near the best price falls by half the squared
        error, and later marks mend most of that.
    wrong_tier_cost, wrong_route_cost : float
        Share of the price lost when the item goes to the wrong rail, or the wrong way.
    old_wear_counts : float
        What of the discount for wear counts on a thing that is wanted for its age, 0 to 1. As a
        valuation was stored before there was such a term, everything counted.
    currency : str
        Code of the shop's currency (ISO 4217).
    tier_names : mapping of tier id to str
        What the shop calls tiers; one that is not in it has the rule book's name.
    """

    wage: float = 24.0
    coverage: float = 0.8
    least_ticket: float = 3.0
    decimals: int = 2
    steps: tuple[TicketStep, ...] = TICKET_STEPS
    mispricing_cost: float = 0.125
    wrong_tier_cost: float = 0.02
    wrong_route_cost: float = 0.05
    old_wear_counts: float = 1.0
    currency: str = "EUR"
    tier_names: Mapping[str, str] = field(default_factory=dict, hash=False)

    @classmethod
    def of(cls, settings: ValuationSettings) -> Self:
        """Give the terms of a shop with these settings."""
        return cls(
            wage=settings.wage,
            coverage=settings.coverage,
            least_ticket=settings.least_ticket,
            decimals=settings.money.decimals,
            steps=settings.ticket_steps,
            old_wear_counts=settings.old_wear_counts,
            currency=settings.currency,
            tier_names=dict(settings.tier_names),
        )

    def ticket(self, price: Array) -> Array:
        """Round prices to what the shop writes on tickets, never to nothing.

        Parameters
        ----------
        price : ndarray, shape (n,)

        Returns
        -------
        ndarray, shape (n,)
        """
        step = np.empty_like(price)
        for rule in sorted(self.steps, key=lambda rule: -rule.under):
            step[price < rule.under] = rule.step
        # Half a step rounds up: a ticket may come down later, never up.
        rounded = np.floor(price / step + 0.5) * step
        return np.asarray(np.round(np.maximum(rounded, step), self.decimals))
