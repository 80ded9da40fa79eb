"""What was last read of items, whether on the bench or in a file of past sales."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Engine, Select, select
from sqlalchemy.orm import Session

from resale.garments.labels.label_names import LabelNames, common_names
from resale.garments.rulebook.readings import Readings, many_readings
from resale.garments.rulebook.rule_book import RuleBook
from resale.storage.db.tables import ItemRow, ValuationRow
from resale.storage.ledger.effective_events import effective_events
from resale.storage.ledger.item_now import newest_valuations

Only = Select[Any] | Collection[int]


@dataclass(frozen=True)
class ItemRead:
    """An item as it was last read."""

    id: int
    number: str
    kind: str
    label: str
    choices: Mapping[str, str]


def items_read(session: Session, only: Only | None = None) -> dict[int, ItemRead]:
    """Items by their id: the newest valuation goes before what came with a file.

    Parameters
    ----------
    session : Session
    only : select of ids, or ids, optional
        Which items; every one that there ever was where omitted.
    """
    choices: dict[int, Mapping[str, Any]] = {}
    events = effective_events()
    arrived = select(events.c.item_id, events.c.data).where(events.c.what == "taken_in")
    newest = newest_valuations(only)
    valued = select(ValuationRow.item_id, ValuationRow.inputs)
    query = select(ItemRow.id, ItemRow.number, ItemRow.kind, ItemRow.label).order_by(ItemRow.id)
    if only is not None:
        arrived = arrived.where(events.c.item_id.in_(only))
        query = query.where(ItemRow.id.in_(only))
    for item_id, data in session.execute(arrived):
        choices[item_id] = data.get("choices", {})
    for item_id, inputs in session.execute(valued.where(ValuationRow.id.in_(newest))):
        choices[item_id] = inputs.get("choices", {})
    return {
        row.id: ItemRead(row.id, row.number, row.kind, row.label, choices.get(row.id, {}))
        for row in session.execute(query)
    }


def readings_of(items: Sequence[ItemRead], book: RuleBook) -> Readings:
    """Readings of items whose kinds the book has.

    Answers that the book no longer knows count as not looked at; a label is one label however it
    is spelt.

    Parameters
    ----------
    items : sequence of ItemRead
    book : RuleBook

    Returns
    -------
    Readings
        In the same order, items of other kinds left out.
    """
    names = LabelNames(common_names(item.label for item in items))
    return many_readings(
        book,
        [item.kind for item in items],
        [_still_known(item, book) for item in items],
        [names.name_of(item.label) for item in items],
    )


def all_readings(engine: Engine, book: RuleBook) -> Readings:
    """Readings of everything that was ever read, sold or not, of kinds that the book has.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    book : RuleBook

    Returns
    -------
    Readings
    """
    with Session(engine) as session:
        read = items_read(session)
    return readings_of([item for item in read.values() if item.kind in book.kinds], book)


def _still_known(item: ItemRead, book: RuleBook) -> dict[str, str]:
    signals = book.kinds[item.kind].by_id
    return {
        signal: option
        for signal, option in item.choices.items()
        if signal in signals and option in signals[signal].option_ids
    }
