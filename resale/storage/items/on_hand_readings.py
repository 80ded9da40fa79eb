"""What is on hand, as it was last read: what a change of rules or settings is tried on."""

from __future__ import annotations

from sqlalchemy import Engine
from sqlalchemy.orm import Session

from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.rule_book import RuleBook
from resale.storage.items.latest_readings import items_read, readings_of
from resale.storage.ledger.ledger import items_on_hand


def on_hand_readings(records: Engine, book: RuleBook) -> tuple[tuple[str, ...], Readings]:
    """Read every item on hand whose kind a book has.

    Parameters
    ----------
    records : Engine
    book : RuleBook

    Returns
    -------
    (tuple of str, Readings)
        Numbers of the items, and what was read of each, in the same order.
    """
    here = {item.number for item in items_on_hand(records)}
    with Session(records) as session:
        read = [
            item
            for item in items_read(session).values()
            if item.number in here and item.kind in book.kinds
        ]
    return tuple(item.number for item in read), readings_of(read, book)
