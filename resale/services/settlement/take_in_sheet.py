"""What a consignor brought: the sheet that they sign, and the list of where everything is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from sqlalchemy.orm import Session

from resale.selling.consignment.take_in import Consignor, ConsignorTerms, TakeIn, TakeInItem
from resale.services.settlement.statements import reasons_of
from resale.services.shop import Shop
from resale.storage.items.store import item_numbered
from resale.storage.ledger.brought import lives_of
from resale.storage.ledger.consignors import consignor_row
from resale.storage.ledger.ledger import ItemLife
from resale.storage.settlement.statements import agreed_of

_PRICED = ("ticketed", "put_out", "marked_down")


@dataclass(frozen=True)
class BroughtLine:
    """A thing that a consignor brought, and where it is.

    Attributes
    ----------
    share : Decimal
        Agreed of its sale price.
    price : int or None
        On its ticket, or what it sold for; minor units.
    """

    number: str
    kind_name: str
    size: str
    where: str
    since: date | None
    price: int | None
    share: Decimal


def take_in_of(shop: Shop, number: str, today: date, tickets: Mapping[str, int | None]) -> TakeIn:
    """All that a consignor has with the shop and that is not sold or gone yet.

    Parameters
    ----------
    number : str
        Of the consignor.
    today : date
        The shop's own day.
    tickets : mapping of item number to (int or None)
        First prices of items that bear no ticket yet, in minor units; None where none is proposed.

    Raises
    ------
    NotSavedError
        If there is no such consignor.
    """
    who, own, shares = agreed_with(shop, number)
    lives = [one for one in lives_of(shop.records, number) if _is_here(one)]
    items = []
    for life in lives:
        valued = item_numbered(shop.records, life.number).newest.valued
        price = _first_price(life) or tickets.get(life.number, valued.ticket)
        high = max(valued.high, valued.low)
        share = shares.get(life.number, own)
        items.append(
            TakeInItem(
                life.number,
                valued.kind_name,
                life.size,
                price,
                valued.low,
                high,
                reasons_of(shop, life.number),
                None if share == own else share,
            )
        )
    days = [life.held[0].day for life in lives if life.held]
    terms = ConsignorTerms.of(shop.settings, own)
    return TakeIn(shop.settings.name, who, min(days, default=today), terms, tuple(items))


def brought_by(shop: Shop, number: str) -> list[BroughtLine]:
    """List what a consignor brought, the newest first.

    Parameters
    ----------
    shop : Shop
    number : str
        Of a consignor.

    Returns
    -------
    list of BroughtLine
        With what each thing is expected to bring, where it was valued.
    """
    _, own, shares = agreed_with(shop, number)
    found = []
    for life in reversed(lives_of(shop.records, number)):
        name, state = shop.kind_name(life.kind), life.state
        share = shares.get(life.number, own)
        line = (life.number, name, life.size, state.where, state.since, state.price, share)
        found.append(BroughtLine(*line))
    return found


def agreed_with(shop: Shop, number: str) -> tuple[Consignor, Decimal, dict[str, Decimal]]:
    """Say whom a consignor's papers are for, their share, and that of each item.

    Parameters
    ----------
    shop : Shop
    number : str
        Of a consignor.

    Returns
    -------
    tuple[Consignor, Decimal, dict of str to Decimal]
        The consignor, their share (0 to 1) as it stands today, and by item number the share under
        which each was brought.

    Raises
    ------
    NotSavedError
        If there is none of this number.
    """
    with Session(shop.records) as session:
        row = consignor_row(session, number)
        own = Decimal(row.share or shop.settings.consignor_share)
        shares = agreed_of(session, row.id)
        return (
            Consignor(row.number, row.name),
            own,
            {item: Decimal(share) for item, share in shares.items()},
        )


def _first_price(life: ItemLife) -> int | None:
    return next((one.amount for one in life.held if one.what in _PRICED and one.amount), None)


def _is_here(life: ItemLife) -> bool:
    return life.state.where in ("back_room", "on_rail")
