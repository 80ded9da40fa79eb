"""Which items are wanted: by words and days, kind, tier, where they are, and who brought them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime

from sqlalchemy import ColumnElement, exists, func, select
from sqlalchemy.orm import Session, aliased

from resale.storage.db.consignor_tables import BroughtRow, ConsignorRow
from resale.storage.db.tables import ItemNow, ItemRow, ValuationRow
from resale.storage.items.search import Found, found_by, on_days
from resale.storage.ledger.transitions import Where


@dataclass(frozen=True)
class ItemFilter:
    """Which items are wanted; nothing asked is all.

    Attributes
    ----------
    words : str
        Parts of words of an item, or days on which it came in.
    consignor : str
        Number of whoever brought it.
    tier : str
        Id of the tier that its newest valuation gave.
    first, last : date or None
        Days between which it came in, both among them.
    """

    words: str = ""
    kind: str = ""
    where: Where | None = None
    consignor: str = ""
    tier: str = ""
    first: date | None = None
    last: date | None = None

    def with_words(self, more: str) -> ItemFilter:
        """The same with further words."""
        return replace(self, words=f"{self.words} {more}".strip())


ALL_ITEMS = ItemFilter()


def chosen_by(session: Session, wanted: ItemFilter) -> Found:
    """Turn what is wanted into conditions on `ItemRow` and its `ItemNow`.

    Parameters
    ----------
    session : Session
    wanted : ItemFilter
    """
    found = found_by(session, wanted.words, datetime.now().astimezone().date())
    return replace(found, conditions=(*found.conditions, *_others(wanted)))


def _others(wanted: ItemFilter) -> list[ColumnElement[bool]]:
    asked: list[ColumnElement[bool]] = []
    if wanted.kind:
        asked.append(ItemRow.kind == wanted.kind)
    if wanted.tier:
        # By itself, whether or not the valuation stands beside: who only counts does not read it.
        newest = aliased(ValuationRow)
        asked.append(exists().where(newest.id == ItemNow.valuation_id, newest.tier == wanted.tier))
    if wanted.where:
        asked.append(ItemNow.place == wanted.where)
    if wanted.consignor:
        brought = select(BroughtRow.item_id).join(
            ConsignorRow, ConsignorRow.id == BroughtRow.consignor_id
        )
        named = func.upper(ConsignorRow.number) == wanted.consignor.strip().upper()
        asked.append(ItemRow.id.in_(brought.where(named)))
    if wanted.first or wanted.last:
        asked.append(on_days(wanted.first, wanted.last))
    return asked
