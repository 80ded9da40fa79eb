"""A consignor's take-in sheet and settlement, put together from the Ledger to the cent."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from resale.selling.consignment.settlement import (
    Consignor,
    ConsignorTerms,
    Outcome,
    PriceReason,
    SettledItem,
    Settlement,
    TakeIn,
    TakeInItem,
)
from resale.storage.items.store import SavedItem, item_numbered
from resale.storage.ledger.consignors import consignor_numbered, lives_of
from resale.storage.ledger.ledger import ItemLife
from resale.web.core.shop import Shop

# So many reasons fit on a line of paper.
REASONS = 4
_PRICED = ("ticketed", "put_out", "marked_down")


def take_in_of(shop: Shop, number: str, today: date, tickets: Mapping[str, int]) -> TakeIn:
    """All that a consignor has with the shop and that is not sold or gone yet.

    Parameters
    ----------
    tickets : mapping of item number to int
        First prices of items that bear no ticket yet, in minor units.
    """
    lives = [one for one in lives_of(shop.records, number) if _is_here(one)]
    items = []
    for life in lives:
        item = item_numbered(shop.records, life.number)
        valued = item.newest.valued
        price = _first_price(life) or tickets.get(life.number) or valued.ticket
        high = max(valued.high, valued.low)
        words = (life.number, valued.kind_name, life.size)
        items.append(TakeInItem(*words, price, valued.low, high, reasons_of(item)))
    days = [life.held[0].day for life in lives if life.held]
    return TakeIn(
        shop.settings.name,
        _consignor(shop, number),
        min(days, default=today),
        ConsignorTerms.of(shop.settings),
        tuple(items),
    )


def settlement_of(shop: Shop, number: str, begin: date, end: date) -> Settlement:
    """What became of a consignor's items between two days, both counted in.

    What was sold, given back or passed on before `begin` stands in an earlier settlement; what
    came in after `end` in a later one.
    """
    found = (_settled(shop, life, begin, end) for life in lives_of(shop.records, number))
    return Settlement(
        shop.settings.name,
        _consignor(shop, number),
        begin,
        end,
        ConsignorTerms.of(shop.settings),
        tuple(one for one in found if one is not None),
    )


def reasons_of(item: SavedItem) -> tuple[PriceReason, ...]:
    """What was seen and moved the price most."""
    rows = [row for row in item.newest.valued.rows if row.money]
    rows.sort(key=lambda row: -abs(row.money))
    return tuple(PriceReason(f"{row.name}: {row.option}", row.money) for row in rows[:REASONS])


def _settled(shop: Shop, life: ItemLife, begin: date, end: date) -> SettledItem | None:
    events = [event for event in life.held if event.day <= end]
    steps = [event for event in events if event.what != "valued"]
    if not steps:
        return None
    last = steps[-1]
    outcome: Outcome = "unsold"
    if last.what in ("sold", "passed_on"):
        outcome = "sold" if last.what == "sold" else "passed_on"
        if last.day < begin:
            return None
    item = item_numbered(shop.records, life.number)
    gone = outcome != "unsold"
    return SettledItem(
        life.number,
        item.newest.valued.kind_name,
        life.size,
        _first_price(life) or item.newest.valued.ticket,
        outcome,
        last.day if gone else None,
        (last.amount or 0) if outcome == "sold" else None,
        reasons_of(item),
    )


def _first_price(life: ItemLife) -> int | None:
    return next((one.amount for one in life.held if one.what in _PRICED and one.amount), None)


def _is_here(life: ItemLife) -> bool:
    return life.state.where in ("back_room", "on_rail")


def _consignor(shop: Shop, number: str) -> Consignor:
    found = consignor_numbered(shop.records, number)
    return Consignor(found.number, found.name)
