"""What the address of the list asks for beside words: kind, tier, where items are, and days."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import get_args

from resale.storage.items.item_filter import ItemFilter
from resale.storage.ledger.transitions import Where

FILTERS = ("kind", "tier", "where", "first", "last")


def asked_filter(args: Mapping[str, str]) -> ItemFilter:
    """Read an address; what it says wrongly counts as not said."""
    where = args.get("where", "")
    return ItemFilter(
        kind=args.get("kind", "")[:40],
        tier=args.get("tier", "")[:40],
        where=next((one for one in get_args(Where) if one == where), None),
        first=_day(args.get("first", "")),
        last=_day(args.get("last", "")),
    )


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None
