"""What holds an item: as the API says it."""

from __future__ import annotations

from resale.safety.holds import Hold
from resale.storage.items.store import NotSavedError, SavedItem, item_numbered
from resale.storage.ledger.holds import open_holds
from resale.web.core.shop import Shop


def saved_or_none(shop: Shop, number: str) -> SavedItem | None:
    """Find an item as it was valued; None where it only came in a file."""
    try:
        return item_numbered(shop.records, number)
    except NotSavedError:
        return None


def holds_now(shop: Shop, saved: SavedItem | None) -> tuple[Hold, ...]:
    """Holds of an item that no lead cleared yet."""
    if saved is None:
        return ()
    return tuple(one.rule for one in open_holds(shop.records, [saved.number]).get(saved.number, ()))
