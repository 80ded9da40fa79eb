"""The place of things that no kind of the book fits: looked over like any, priced by hand.

It is no kind of any rule book, so nothing learns from such things and no price is worked out for
them; but it has signs, so that one form reads them and whatever holds a thing holds them too.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from resale.garments.rulebook.rule_book import (
    SHIPPED_BOOK,
    Kind,
    kind_of,
    read_toml,
    shared_signals,
)

UNSORTED = "unsorted"
"""What stands where other items have the id of their kind."""


@lru_cache(maxsize=1)
def unsorted_kind() -> Kind:
    """Give the signs and words of things without a kind."""
    path = Path(__file__).with_name("unsorted.toml")
    return kind_of(path.name, read_toml(path), shared_signals(SHIPPED_BOOK))
