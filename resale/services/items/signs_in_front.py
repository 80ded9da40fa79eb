"""Which signs of a kind stand in front on the bench: those that are most worth a look."""

from __future__ import annotations

from resale.garments.rulebook.readings import one_reading
from resale.garments.rulebook.rule_book import Kind
from resale.pricing.valuation.next_check import next_checks
from resale.pricing.valuation.valuer import Valuer

# How many signs stand in front over the whole bench, and in any one zone.
IN_FRONT, IN_FRONT_OF_ZONE = 18, 9


def signs_in_front(kind: Kind, valuer: Valuer) -> frozenset[str]:
    """Signs in front for an item of which nothing is known yet, at least one a zone.

    A sign that others depend on is among them, and so are those that depend on it: they show
    themselves once its answer calls for them.

    Parameters
    ----------
    kind : Kind
    valuer : Valuer
        By whose prices checks are ranked.
    """
    readings = one_reading(valuer.book, kind.id, {})
    ranked = next_checks(valuer, readings, valuer.value(readings))
    conditional = [one for one in kind.signals if one.only_if]
    ahead = {one.id for one in conditional}
    ahead |= {one.only_if.signal for one in conditional if one.only_if}
    in_zone: dict[str, int] = {}
    for place, check in enumerate(ranked):
        held = in_zone.get(check.signal.zone, 0)
        if held == 0 or (place < IN_FRONT and held < IN_FRONT_OF_ZONE):
            ahead.add(check.signal.id)
            in_zone[check.signal.zone] = held + 1
    return frozenset(ahead)
