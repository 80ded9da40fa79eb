"""Rows of the Evidence's longer tables, in the order asked for."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from resale.pricing.evaluation.rule_shifts import RuleShift

ORDERS: dict[str, tuple[str, Callable[[RuleShift], Any]]] = {
    "rule": ("Rule", lambda rule: (rule.kind, rule.name)),
    "book": ("Book", lambda rule: -rule.book),
    "learned": ("Learned", lambda rule: -rule.learned),
    "moved": ("Moved", lambda rule: -abs(rule.moved)),
    "doubt": ("Doubt now", lambda rule: -rule.doubt_after),
    "sales": ("Sales", lambda rule: -rule.sales),
}


def sorted_rules(rules: Sequence[RuleShift], order: str) -> list[RuleShift]:
    """Rules that at least one sale spoke of, in one of `ORDERS`.

    Parameters
    ----------
    rules : sequence of RuleShift
        As the fit moved them.
    order : str
        A key of `ORDERS`; any other word sorts by how far they moved.
    """
    _, key = ORDERS.get(order, ORDERS["moved"])
    return sorted((rule for rule in rules if rule.sales), key=key)
