"""The list of items as the screen shows it: found, filtered, a page at a time."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime

from sqlalchemy import Engine, func, select
from sqlalchemy.orm import Session

from resale.pricing.valuation.valuation import Valuation
from resale.storage.db.tables import ItemNow, ItemRow, ValuationRow
from resale.storage.items.item_filter import ALL_ITEMS, ItemFilter, chosen_by
from resale.storage.items.stored_valuation import from_stored
from resale.storage.ledger.item_now import newest_valuations

PAGE = 50


@dataclass(frozen=True)
class ItemLine:
    """One line of the list of items."""

    number: str
    label: str
    size: str
    note: str
    made_at: datetime
    valued: Valuation


@dataclass(frozen=True)
class ItemPage:
    """One page of the list.

    Attributes
    ----------
    page, pages : int
        From 1.
    total : int
        Items found on all pages.
    instead : tuple of (str, str)
        Words that nothing goes by, each with those that were taken for it.
    days : tuple of date
        Days that were typed among the words.
    """

    lines: tuple[ItemLine, ...]
    page: int
    pages: int
    total: int
    instead: tuple[tuple[str, str], ...] = ()
    days: tuple[date, ...] = ()


def items_page(
    engine: Engine,
    search: str = "",
    page: int = 1,
    per_page: int = PAGE,
    wanted: ItemFilter = ALL_ITEMS,
) -> ItemPage:
    """List items that were valued here, the newest first; past sales from a file were not.

    Parameters
    ----------
    search : str
        Parts of words, or days, that an item has to have all of.
    page : int
        From 1; a page past the end gives the last.
    wanted : ItemFilter
        What else an item has to be; its words count beside `search`.
    """
    with Session(engine) as session:
        found = chosen_by(session, wanted.with_words(search))
        items = (
            select(ItemRow, ValuationRow)
            .join(ItemNow, ItemNow.item_id == ItemRow.id)
            .join(ValuationRow, ValuationRow.id == ItemNow.valuation_id)
            .where(*found.conditions)
        )
        # The kept rows alone say how many: the readings, most of a file of records, are not read.
        counted = newest_valuations()
        if found.conditions:
            counted = counted.join(ItemRow, ItemRow.id == ItemNow.item_id).where(*found.conditions)
        total = session.scalar(select(func.count()).select_from(counted.subquery())) or 0
        pages = max(1, -(-total // per_page))
        page = min(max(page, 1), pages)
        rows = session.execute(
            items.order_by(ItemNow.item_id.desc()).limit(per_page).offset((page - 1) * per_page)
        ).all()
        lines = tuple(_line(item, value) for item, value in rows)
        return ItemPage(lines, page, pages, total, found.instead, found.days)


def _line(item: ItemRow, value: ValuationRow) -> ItemLine:
    return ItemLine(
        item.number,
        item.label,
        item.size,
        item.note,
        item.made_at.replace(tzinfo=UTC),
        from_stored(value.result),
    )
