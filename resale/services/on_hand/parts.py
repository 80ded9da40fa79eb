"""Some of what is on hand, as it is among all: what a page does with an item looks at it alone."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import date

from sqlalchemy.orm import Session

from resale.services.on_hand.lines import Rail, RailLine, looked
from resale.services.shop import Shop
from resale.storage.ledger.ledger import ids_here

# So many items are named in one question.
AT_ONCE = 500


def rail_part(shop: Shop, today: date, only: Collection[int]) -> Rail:
    """Look at some of what is on hand; each line is as it is among all.

    Parameters
    ----------
    shop : Shop
    today : date
        From which days on hand and marks that are due are counted.
    only : collection of int
        Ids of items on hand, at most `AT_ONCE`.
    """
    return looked(shop, today, only)


def parts_numbered(shop: Shop, today: date, numbers: Collection[str]) -> Iterator[Rail]:
    """Look at the items of some numbers, as far as they are on hand, so many at once.

    Parameters
    ----------
    shop : Shop
    today : date
    numbers : collection of str
        In capitals.
    """
    wanted = list(numbers)
    for at in range(0, len(wanted), AT_ONCE):
        with Session(shop.records) as session:
            only = ids_here(session, wanted[at : at + AT_ONCE])
        if only:
            yield rail_part(shop, today, only)


def line_numbered(shop: Shop, today: date, number: str) -> RailLine | None:
    """The line of one item; None where it is not on hand.

    Parameters
    ----------
    shop : Shop
    today : date
    number : str
        In capitals.
    """
    found = next(parts_numbered(shop, today, [number]), None)
    return found.numbered().get(number) if found else None
