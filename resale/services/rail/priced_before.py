"""After a new fit: what it says of the items on hand, before and after, to be accepted."""

from __future__ import annotations

import numpy as np

from resale.services.on_hand.lines import Rail, RailLine
from resale.services.rail.reprice import Change
from resale.services.shop import Shop


def changes_of(shop: Shop, rail: Rail) -> list[Change]:
    """List items that were last valued by other prices and would now get another ticket.

    Parameters
    ----------
    shop : Shop
        For the prices in use.
    rail : Rail
        Everything on hand, valued by them. What is held is left out.
    """
    found = []
    for line in rail.lines:
        saved = rail.stock.saved.get(line.number)
        if (
            not line.planned
            or saved is None
            or saved[0] == shop.model_id
            or line.standing == "held"
        ):
            continue
        after = int(rail.stock.ticket[line.row])
        if after != saved[1]:
            plan = _fresh_plan(shop, rail, line)
            found.append(Change(line, saved[1], after, _ticket(rail, line, plan), plan))
    return found


def _fresh_plan(shop: Shop, rail: Rail, line: RailLine) -> tuple[int | None, ...]:
    planned = rail.outlook.compared.plan.tickets[line.row] * 10**shop.money.decimals
    return tuple(None if np.isnan(ticket) else round(ticket) for ticket in planned)


def _ticket(rail: Rail, line: RailLine, plan: tuple[int | None, ...]) -> int | None:
    """Give the ticket of the period it is in, where one was written and would be another.

    What somebody set by hand, or the shop's own list says, stands until it is taken back.
    """
    if line.hand is not None:
        return None
    price = plan[min(int(rail.outlook.period[line.row]), len(plan) - 1)]
    return price if line.written and price != line.price else None
