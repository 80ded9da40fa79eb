"""Lines of the Rail for things without a kind: nobody knows how such things sell.

They hang and are marked down by the shop's habit from the price that a person set; there is no
chance, no stay and no net to show, and no plan to compare.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from sqlalchemy import select
from sqlalchemy.orm import Session

from resale.garments.rulebook.unsorted import UNSORTED, unsorted_kind
from resale.selling.markdown.terms import SellingTerms
from resale.services.shop import Shop
from resale.services.standing.saved import saved_standings
from resale.services.standing.standing import Standing
from resale.storage.db.tables import ItemNow, ItemRow, ValuationRow
from resale.storage.items.stored_valuation import from_stored
from resale.storage.ledger.ledger import HERE, ItemOnHand


@dataclass(frozen=True)
class WithoutKind:
    """One such thing on hand.

    Attributes
    ----------
    what : str
        What somebody called it.
    """

    item: ItemOnHand
    what: str
    standing: Standing


def without_kind(shop: Shop, on_hand: tuple[ItemOnHand, ...], today: date) -> list[WithoutKind]:
    """Find the things without a kind among what is on hand.

    Parameters
    ----------
    shop : Shop
    on_hand : tuple of ItemOnHand
    today : date
        The shop's own day.
    """
    items = [one for one in on_hand if one.kind == UNSORTED]
    if not items:
        return []
    query = (
        select(ItemRow.number, ValuationRow.result)
        .join(ValuationRow, ValuationRow.item_id == ItemRow.id)
        .join(ItemNow, ItemNow.valuation_id == ValuationRow.id)
        .where(ItemRow.kind == UNSORTED, ItemNow.place.in_(HERE))
    )
    with Session(shop.records) as session:
        called = {
            number: from_stored(result).kind_name for number, result in session.execute(query)
        }
    standings = saved_standings(shop, [one.number for one in items], today)
    return [
        WithoutKind(one, called.get(one.number, unsorted_kind().text.name), standings[one.number])
        for one in items
        if one.number in standings
    ]


def tickets_by_habit(shop: Shop, price: int) -> tuple[int, ...]:
    """Tickets of each period by the shop's habit, from a first price.

    Parameters
    ----------
    shop : Shop
    price : int
        In minor units; stays as it is.

    Returns
    -------
    tuple of int
        In minor units, one a period.
    """
    minor = 10**shop.money.decimals
    marks = np.array(SellingTerms.of(shop.settings).habit_marks())
    later = np.maximum(shop.terms.ticket(price / minor * (1 - marks)), shop.terms.least_ticket)
    rounded = np.minimum(np.rint(later * minor).astype(int), price)
    return tuple(np.where(marks == 0, price, rounded).tolist())


def period_of(shop: Shop, out: date | None, today: date) -> int:
    """Count the price periods that a thing has hung, from 0.

    Parameters
    ----------
    shop : Shop
    out : date or None
        When it was put out; None in the back room.
    today : date
    """
    return 0 if out is None else max((today - out).days, 0) // shop.settings.period_days
