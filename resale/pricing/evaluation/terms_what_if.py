"""What other terms of the shop would do to the items on hand, before they are written down.

Terms change no estimate, but for what wear counts on old things: they move what is written on a
ticket, what goes out at all, how wide a band is, when a look is worth its time, and what is left to
the shop of a sale.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from resale.garments.rulebook.readings import Readings
from resale.pricing.valuation.next_check import STOP, best_checks
from resale.pricing.valuation.tiers import ROUTES
from resale.pricing.valuation.valuations import Valuations
from resale.pricing.valuation.valuer import Valuer

LISTED = 8
Index = npt.NDArray[np.intp]


@dataclass(frozen=True)
class Seen:
    """One item under one set of terms. Money in the shop's currency.

    Attributes
    ----------
    to_shop : float
        What is left to the shop if it sells at its ticket.
    next_check : str
        Name of the look that is worth its time; empty where none is.
    """

    ticket: float
    low: float
    high: float
    to_shop: float
    route: str
    next_check: str


@dataclass(frozen=True)
class TermsOutlook:
    """What other terms would do.

    Attributes
    ----------
    items : int
    higher, lower, routes : int
        How many tickets would rise and fall, and how many items would go another way.
    tickets, to_shop : (float, float)
        All tickets together, and what is left to the shop of them, before and after.
    examples : tuple of (int, Seen, Seen)
        Place among the items given, before and after; what changes most stands in front, then
        the dearest.
    """

    items: int
    higher: int
    lower: int
    routes: int
    tickets: tuple[float, float]
    to_shop: tuple[float, float]
    examples: tuple[tuple[int, Seen, Seen], ...]


def outlook_of_terms(
    now: Valuer,
    then: Valuer,
    shop_share: tuple[float, float],
    on_hand: Readings,
    *,
    listed: int = LISTED,
) -> TermsOutlook:
    """Say what other terms would do.

    Parameters
    ----------
    now, then : Valuer
        Of one book and one model, with the terms of now and the others.
    shop_share : (float, float)
        Share of a sale that is left to the shop, now and then (0 to 1).
    on_hand : Readings
    listed : int, default 8
        How many examples to give at most.

    Returns
    -------
    TermsOutlook
    """
    before, after = now.value(on_hand), then.value(on_hand)
    moved, other_way = after.ticket - before.ticket, before.route != after.route
    order = np.lexsort((-before.ticket, -np.abs(moved), ~other_way))[:listed]
    sums = float(before.ticket.sum()), float(after.ticket.sum())
    seen = [
        _seen(valuer, valued, share, on_hand, order)
        for valuer, valued, share in ((now, before, shop_share[0]), (then, after, shop_share[1]))
    ]
    return TermsOutlook(
        items=len(on_hand),
        higher=int((moved > 0).sum()),
        lower=int((moved < 0).sum()),
        routes=int(other_way.sum()),
        tickets=sums,
        to_shop=(sums[0] * shop_share[0], sums[1] * shop_share[1]),
        examples=tuple(zip(order.tolist(), *seen, strict=True)),
    )


def _seen(
    valuer: Valuer, valued: Valuations, share: float, on_hand: Readings, order: Index
) -> list[Seen]:
    chosen = on_hand.rows(order)
    checks = best_checks(valuer, chosen, valuer.value(chosen)).signal
    kinds = list(valuer.book.kinds.values())
    names = [
        "" if check == STOP else kinds[kind].signals[check].name
        for check, kind in zip(checks.tolist(), chosen.kinds.tolist(), strict=True)
    ]
    return [
        Seen(
            float(valued.ticket[item]),
            float(valued.low[item]),
            float(valued.high[item]),
            float(valued.ticket[item]) * share,
            ROUTES[valued.route[item]],
            name,
        )
        for item, name in zip(order.tolist(), names, strict=True)
    ]
