"""First ticket and marks for each item: the plan with the highest expected net for the shop.

The plan works with what sells how fast (`Demand`), the shop's terms and the tickets it writes. It
stands beside what the shop does now, worked out in the same way, so that both can be compared.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from resale.pricing.model.columns.terms import Array
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.selling.markdown.demand import Demand
from resale.selling.markdown.hazard_net import KNOTS, Outset
from resale.selling.markdown.outlook import Goods, Outlook, follow
from resale.selling.markdown.terms import SellingTerms

# Tickets tried for each item, evenly apart in percent: about 1.8 percent, so the best of them
# falls short of the best of all by hardly 0.05 percent.
TICKETS = 96
# With marks each first ticket is a plan of its own, so fewer are tried; 3.5 percent apart costs
# at most 0.1 percent.
FIRST_TICKETS = 48
# A first ticket may lie so far beyond the highest that was tried, or below the lowest: the next
# step is taken when that one has been tried. An opinion: common practice, no source.
STEP = 1.15
# Cells worked on at once: keeps the arrays within some hundred megabytes.
CELLS = 1_500_000


@dataclass(frozen=True)
class Comparison:
    """The plan beside the shop's present habit."""

    plan: Outlook
    habit: Outlook

    @property
    def gain(self) -> Array:
        """By how much the plan's expected net for the shop is higher, shape (n,)."""
        return self.plan.shop - self.habit.shop

    @property
    def gain_share(self) -> float:
        """The same for all items together, as a share of what the habit brings."""
        return float(self.gain.sum() / self.habit.shop.sum())


def compare(demand: Demand, goods: Goods, terms: SellingTerms, shop: ShopTerms) -> Comparison:
    """Plan every item, and set the plan beside the habit.

    Parameters
    ----------
    demand : Demand
        How fast each kind sells at which price.
    goods : Goods
        The items, with what each is estimated to bring.
    terms : SellingTerms
        What selling costs, and what an item passed on brings.
    shop : ShopTerms
        The shop's present marks, to which the plan is set beside.

    Returns
    -------
    Comparison
        Both outlooks, item by item in the order of the goods.
    """
    return Comparison(
        plan_tickets(demand, goods, terms, shop), by_habit(demand, goods, terms, shop)
    )


def by_habit(demand: Demand, goods: Goods, terms: SellingTerms, shop: ShopTerms) -> Outlook:
    """What the shop's present marks lead to, the first ticket being the rounded estimate.

    Parameters
    ----------
    demand : Demand
        How fast each kind sells at which price.
    goods : Goods
        The items, with what each is estimated to bring.
    terms : SellingTerms
        What selling costs, and what an item passed on brings.
    shop : ShopTerms
        The marks: after how many days by what part, and when an item is passed on.

    Returns
    -------
    Outlook
        Item by item in the order of the goods; money as in `goods`.
    """
    return follow(demand, goods, _habit_tickets(goods, terms, shop), terms)


def plan_tickets(demand: Demand, goods: Goods, terms: SellingTerms, shop: ShopTerms) -> Outlook:
    """Find the ticket of each period with the highest expected net for the shop.

    Parameters
    ----------
    demand : Demand
        Sale rates by kind and price.
    goods : Goods
        n items; each is planned by itself.
    terms : SellingTerms
        With `marks`, the first ticket is free and later ones are those marks off it, rising;
        without, every ticket is free but may not lie above the last.
    shop : ShopTerms
        How tickets are rounded, and the least ticket.

    Returns
    -------
    Outlook
        NaN tickets from the period on in which passing the item on is worth more than its place.

    Notes
    -----
    Assumes that the sale rate depends on the kind, the present price, and how slow the item has
    shown itself to be; not on what hangs beside it. First tickets stay within a `STEP` of what
    was tried of that kind, and all within `ticket_range` of the estimate, since beyond it nothing
    was ever seen to sell.

    Examples
    --------
    >>> from resale.selling.markdown.demand import learn_demand
    >>> from resale.selling.markdown.exposure import PricePeriods
    >>> demand = learn_demand(PricePeriods.none(), ["shirt"])
    >>> shirt = Goods(np.array([0]), np.array([18.0]))
    >>> plan_tickets(demand, shirt, SellingTerms(), ShopTerms()).tickets
    array([[17. , 14.5, 11. ,  6.5]])
    """
    tickets = np.empty((len(goods), terms.periods))
    width = KNOTS * (TICKETS if terms.marks is None else FIRST_TICKETS * len(terms.marks))
    batch = max(1, CELLS // width)
    for start in range(0, len(goods), batch):
        rows = slice(start, start + batch)
        tickets[rows] = _planned(demand, goods.rows(rows), terms, shop)
    plan = follow(demand, goods, tickets, terms)
    if terms.marks is not None and not set(terms.habit) <= set(terms.marks):
        return plan
    habit = by_habit(demand, goods, terms, shop)
    # Reading between knots may cost a plan some hundredths of a percent: not to the habit's gain.
    ahead = (plan.shop >= habit.shop)[:, None]
    if ahead.all():
        return plan
    return follow(demand, goods, np.where(ahead, tickets, habit.tickets), terms)


def _planned(demand: Demand, goods: Goods, terms: SellingTerms, shop: ShopTerms) -> Array:
    """Tickets of the best plan, shape (n, periods)."""
    first = _first_range(demand, goods, terms)
    if terms.marks is None:
        low = np.full(len(goods), terms.ticket_range[0]) * goods.estimate
        ends, habit = np.column_stack([low, first[:, 1]]), _habit_tickets(goods, terms, shop)
        price = _candidates(shop, ends, TICKETS, habit)
        opening = price >= _written(first[:, :1], shop)
        return Outset(demand, goods, terms, price, opening).tickets()
    marks = np.array(terms.marks)[::-1]
    opening_habit = _habit_tickets(goods, terms, shop)[:, :1]
    starts = _candidates(shop, first, FIRST_TICKETS, opening_habit)
    price = _written(starts[..., None] * (1 - marks), shop)
    # Each first ticket is a plan of its own; the best of them is taken.
    tickets = Outset(demand, goods, terms, price, marks == 0).tickets()
    best = follow(demand, goods, tickets, terms).shop.argmax(axis=-1)
    return np.take_along_axis(tickets, best[:, None, None], axis=1)[:, 0]


def _first_range(demand: Demand, goods: Goods, terms: SellingTerms) -> Array:
    """Lowest and highest first ticket (money), shape (n, 2); the estimate is always inside."""
    low, high = demand.tried[goods.kind].T
    low, high = np.minimum(low, 1.0) / STEP, np.maximum(high, 1.0) * STEP
    ratio = np.clip(np.column_stack([low, high]), *terms.ticket_range)
    return np.asarray(ratio * goods.estimate[:, None])


def _candidates(shop: ShopTerms, ends: Array, count: int, habit: Array) -> Array:
    """Tickets to choose from, rising, shape (n, count + habit's)."""
    spread = _written(np.geomspace(ends[:, 0], ends[:, 1], count, axis=1), shop)
    # The habit's own tickets are among them, so that it is one of the plans.
    both = np.hstack([spread, habit])
    # Steps of tickets make many of them alike; a thing by itself need not try one twice.
    return np.unique(both)[None] if len(both) == 1 else np.sort(both, axis=1)


def _habit_tickets(goods: Goods, terms: SellingTerms, shop: ShopTerms) -> Array:
    marks = np.array(terms.habit_marks())
    first = _written(goods.estimate, shop)
    return _written(first[:, None] * (1 - marks), shop)


def _written(price: Array, shop: ShopTerms) -> Array:
    """Round to what the shop writes, never below its least ticket."""
    return np.maximum(shop.ticket(price), shop.least_ticket)
