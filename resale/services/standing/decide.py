"""Deciding of an item as it is valued: its first ticket, and whether it is mended first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from resale.garments.rulebook.readings import Readings
from resale.pricing.valuation.tiers import ROUTES
from resale.pricing.valuation.valuation import Valuation
from resale.pricing.valuation.valuations import Valuations
from resale.selling.markdown.outlook import Goods
from resale.selling.markdown.plan import plan_tickets
from resale.selling.mending.bound import may_pay
from resale.selling.mending.mending import MendingPlan, best_mending, best_mendings
from resale.selling.rail.balance import rail_width
from resale.services.items.by_hand import ByHand
from resale.services.standing.desk import Desk
from resale.services.standing.standing import Decided, Route

AS_SEEN = "No mending pays, so it goes out as it is seen."
TOO_LITTLE = "It would bring less than your least ticket."
GATED = "A rule of the book sends it on; the reason stands with its price."


def decide(
    desk: Desk,
    readings: Readings,
    values: Valuations,
    agreed: Sequence[float | None] | None = None,
) -> list[Decided]:
    """Decide of every item of a batch, in the order of the readings.

    Parameters
    ----------
    desk : Desk
    readings : Readings
    values : Valuations
        What the desk's prices say of these readings.
    agreed : sequence of float or None, optional
        The consignor's share of each item, where one was agreed for it.

    Notes
    -----
    *Mend first* is said when the mending plan pays, and then alone.
    """
    known = agreed if agreed is not None else [None] * len(readings)
    suggested = first_tickets(desk, readings.kinds, values.estimate, known)
    # A search over sets of remedies for each item that could gain by one, and for no other.
    searched = may_pay(desk.valuer, readings, values, desk.terms)
    rows = np.flatnonzero(searched)
    some = readings.rows(rows)
    counts = [gain_share(desk, known[row]) for row in rows.tolist()]
    mended = best_mendings(desk.valuer, some, desk.terms, gain_shares=counts)
    plans = dict(zip(rows.tolist(), mended, strict=True))
    found = []
    for row in range(len(readings)):
        plan = plans.get(row)
        gate = ROUTES[values.route[row]]
        reason = _reason(plan, gate, below=bool(values.route[row] > values.gate_route[row]))
        found.append(Decided(int(suggested[row]), _route(plan, gate), reason, known[row]))
    return found


def decided_by_hand(valued: Valuation, said: ByHand) -> Decided:
    """Decide of a thing without a kind: its price is the one that a person set.

    Parameters
    ----------
    valued : Valuation
        With the gates that its signs met.
    said : ByHand
    """
    route: Route = "pass_on" if valued.route == "pass_on" else "put_out"
    reason = GATED if route == "pass_on" else ""
    return Decided(said.price, route, reason, by_hand=said.why)


def gain_share(desk: Desk, agreed: float | None) -> float:
    """What counts for the shop of what a repair brings.

    All of it where the thing is the shop's own or the repair is charged; else the shop's share.

    Parameters
    ----------
    desk : Desk
    agreed : float or None
        The consignor's share, where one was agreed.
    """
    alone = agreed is not None and not desk.settings.repairs_charged
    return 1.0 - (agreed or 0.0) if alone else 1.0


def first_tickets(
    desk: Desk,
    kinds: np.ndarray,
    estimates: np.ndarray,
    agreed: Sequence[float | None] | None = None,
) -> np.ndarray:
    """First ticket of each item's plan; else the rounded estimate.

    That is where the plan fell behind the habit in its trial, or would not put the item out.

    Parameters
    ----------
    desk : Desk
    kinds : ndarray of int, shape (n,)
        Places of the kinds in the rule book.
    estimates : ndarray, shape (n,)
        In the shop's currency; rounded to minor units first, as they are shown.
    agreed : sequence of float or None, optional
        Consignors' shares where they were agreed; else the shop's own counts.

    Returns
    -------
    ndarray of int, shape (n,)
        In minor units.
    """
    terms = desk.valuer.terms
    minor, ids = 10**terms.decimals, tuple(desk.valuer.book.kinds)
    shown = np.rint(estimates * minor) / minor
    width = np.array([rail_width(ids[kind], desk.settings.rail_widths) for kind in kinds])
    rounded = np.maximum(terms.ticket(shown), terms.least_ticket)
    first = rounded
    if desk.trial.beats:
        own = desk.terms.consignor_share
        share = np.array([own if one is None else one for one in agreed or [None] * len(shown)])
        goods = Goods(kinds, shown, width, share=share)
        first = plan_tickets(desk.demand, goods, desk.terms, terms).tickets[:, 0]
    return np.rint(np.where(np.isnan(first), rounded, first) * minor).astype(int)


def mending_of(
    desk: Desk, readings: Readings, row: int, agreed: float | None = None
) -> MendingPlan:
    """Say what mending one item of a batch would bring.

    Parameters
    ----------
    desk : Desk
        By whose prices and settings it is reckoned.
    readings : Readings
        Of the batch.
    row : int
        Of the item within it.
    agreed : float or None, optional
        The consignor's share, where one was agreed for it.
    """
    terms = replace(desk.terms, gain_share=gain_share(desk, agreed))
    return best_mending(desk.valuer, readings.rows(np.array([row])), terms)


def _route(plan: MendingPlan | None, gate: str) -> Route:
    if plan is not None and plan.chosen:
        return "mend_first"
    return "pass_on" if gate == "pass_on" else "put_out"


def _reason(plan: MendingPlan | None, gate: str, *, below: bool) -> str:
    if plan is not None and plan.chosen:
        return plan.text
    if gate == "pass_on":
        return TOO_LITTLE if below else GATED
    return AS_SEEN if gate == "mend_first" else ""
