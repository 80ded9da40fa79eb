"""Answers by which a look found nothing, as the seam of a price names them."""

from __future__ import annotations

from resale.safety.looks import shipped_looks
from resale.safety.required_looks import NOTHING
from resale.services.shop import Shop


def found_nothing(shop: Shop) -> frozenset[tuple[str, str]]:
    """Answers that say a look found nothing: id of the sign and name of the answer."""
    if "found nothing" not in shop.memory:
        shop.memory["found nothing"] = _found_nothing(shop)
    found: frozenset[tuple[str, str]] = shop.memory["found nothing"]
    return found


def _found_nothing(shop: Shop) -> frozenset[tuple[str, str]]:
    nothing = shipped_looks().nothing
    signals = [signal for kind in shop.book.kinds.values() for signal in kind.signals]
    return frozenset(
        (signal.id, signal.option(answer).name)
        for signal in signals
        if (answer := nothing.get(signal.id, NOTHING)) in signal.option_ids
    )
