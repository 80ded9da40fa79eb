"""What holds an item: the one place where the API asks before a ticket, a sale or a way out."""

from __future__ import annotations

from resale.records.store import NotSavedError, SavedItem, item_numbered
from resale.safety.holds import Hold
from resale.web.api.problems import ApiError
from resale.web.api.readings import holds_of
from resale.web.bench_form import entry_from_inputs
from resale.web.shop import Shop

# What sends an item on its way to a buyer or out of the house; a hold stops it.
STOPPED = frozenset({"put_out", "ticketed", "marked_down", "sold", "passed_on"})


def saved_or_none(shop: Shop, number: str) -> SavedItem | None:
    """Find an item as it was valued; None where it only came in a file."""
    try:
        return item_numbered(shop.records, number)
    except NotSavedError:
        return None


def holds_now(shop: Shop, saved: SavedItem | None) -> tuple[Hold, ...]:
    """Holds that the newest readings of an item raise."""
    kind = shop.book.kinds.get(saved.kind) if saved else None
    if saved is None or kind is None:
        return ()
    return holds_of(shop.book, entry_from_inputs(kind, saved.newest.inputs, saved.number))


def refuse_held(shop: Shop, number: str, what: str) -> None:
    """Refuse what a hold stops, with whom to ask."""
    if what not in STOPPED:
        return
    saved = saved_or_none(shop, number)
    raised = holds_now(shop, saved)
    if raised or (saved is not None and saved.newest.valued.route == "hold"):
        names = ", ".join(one.name for one in raised) or "the rule book asks for it"
        raise ApiError("not-possible", f"{number} is held: {names}", "hand it to a lead")
