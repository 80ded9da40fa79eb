"""What a change of the rule book would do to the items on hand, before it is saved.

Both books learn from the same sales, so what is told is what would really change: where sales are
many, an opinion moves little.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from resale.garments.rulebook.readings import Readings
from resale.pricing.valuation.tiers import ROUTES
from resale.pricing.valuation.valuations import Valuations
from resale.pricing.valuation.valuer import Valuer

LISTED = 10


@dataclass(frozen=True)
class ItemChange:
    """One item before and after. Money in the shop's currency.

    Attributes
    ----------
    item : int
        Place among the items given.
    tier_before, tier_after : str
        Names of tiers.
    """

    item: int
    estimate_before: float
    estimate_after: float
    ticket_before: float
    ticket_after: float
    tier_before: str
    tier_after: str
    route_before: str
    route_after: str

    @property
    def factor(self) -> float:
        """Estimate after over estimate before."""
        return self.estimate_after / self.estimate_before


@dataclass(frozen=True)
class Outlook:
    """What a change would do to the items on hand.

    Attributes
    ----------
    items : int
    tiers, routes, tickets : int
        How many items would get another tier, route or ticket price.
    higher, lower : int
        How many tickets would rise and fall.
    ticket_sum_before, ticket_sum_after : float
        All tickets together.
    typical, largest : float
        Median and largest change of the tickets that change, as money either way; 0 where none
        does.
    tier_moves : mapping of (tier before, tier after) to int
        Counts of items that move, by name of tier.
    examples : tuple of ItemChange
        The largest changes of estimate in front; only items of which something changes.
    """

    items: int
    tiers: int
    routes: int
    tickets: int
    higher: int
    lower: int
    ticket_sum_before: float
    ticket_sum_after: float
    typical: float
    largest: float
    tier_moves: dict[tuple[str, str], int]
    examples: tuple[ItemChange, ...]


def compared(now: Valuer, then: Valuer, on_hand: Readings, *, listed: int = LISTED) -> Outlook:
    """Compare two valuers on the same items.

    Parameters
    ----------
    now, then : Valuer
        As prices are, and as they would be.
    on_hand : Readings
        The items.
    listed : int
        Items at most that are listed one by one, those that move most first.

    Returns
    -------
    Outlook
        Money in the shop's currency.
    """
    before, after = now.value(on_hand), then.value(on_hand)
    moved = after.ticket - before.ticket
    tiers, routes = before.tier != after.tier, before.route != after.route
    sizes = np.abs(moved[moved != 0])
    names = [tier.name for tier in now.book.book.tiers]
    touched = np.flatnonzero((moved != 0) | tiers | routes)
    apart = np.abs(np.log(after.estimate[touched] / before.estimate[touched]))
    order = touched[np.argsort(-apart, kind="stable")][:listed]
    return Outlook(
        len(on_hand),
        int(tiers.sum()),
        int(routes.sum()),
        len(sizes),
        int((moved > 0).sum()),
        int((moved < 0).sum()),
        float(before.ticket.sum()),
        float(after.ticket.sum()),
        float(np.median(sizes)) if len(sizes) else 0.0,
        float(sizes.max()) if len(sizes) else 0.0,
        _tier_moves(before, after, names),
        tuple(_item_change(before, after, names, item) for item in order.tolist()),
    )


def _tier_moves(
    before: Valuations, after: Valuations, names: list[str]
) -> dict[tuple[str, str], int]:
    counts = np.zeros((len(names), len(names)), dtype=int)
    np.add.at(counts, (before.tier, after.tier), 1)
    np.fill_diagonal(counts, 0)
    return {
        (names[old], names[new]): int(counts[old, new]) for old, new in np.argwhere(counts).tolist()
    }


def _item_change(before: Valuations, after: Valuations, names: list[str], item: int) -> ItemChange:
    return ItemChange(
        item,
        float(before.estimate[item]),
        float(after.estimate[item]),
        float(before.ticket[item]),
        float(after.ticket[item]),
        names[before.tier[item]],
        names[after.tier[item]],
        ROUTES[before.route[item]],
        ROUTES[after.route[item]],
    )
