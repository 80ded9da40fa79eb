"""What the size as typed and the chest as measured come to, for the line under the label."""

from __future__ import annotations

from resale.errors import ReadingError
from resale.garments.measures.length import parse_length
from resale.garments.sizes.compared import size_words
from resale.garments.sizes.tables import Who
from resale.services.items.entry import Entry

RAIL_SIGN, CHEST_SIGN = "department", "chest_flat"


def said_of_size(entry: Entry) -> str:
    """Give the sentence on the size of an entry; empty where nothing can be said."""
    who: Who = "either"
    if (picked := entry.picked.get(RAIL_SIGN)) in {"men", "women"}:
        who = "men" if picked == "men" else "women"
    return size_words(entry.size, entry.kind, who, _chest(entry))


def _chest(entry: Entry) -> float | None:
    typed = entry.typed.get(CHEST_SIGN, "")
    try:
        return parse_length(typed) if typed.strip() else None
    except ReadingError:
        return None
