"""A ticket price as a person writes it."""

from __future__ import annotations

from resale.errors import ResaleError
from resale.services.rail.rail_events import RailFormError
from resale.services.shop import Shop
from resale.storage.imports.cells.amounts import AmountStyle, read_messy_amount


def amount_typed(shop: Shop, text: str, number: str) -> int:
    """Read a ticket price as a person writes it, in minor units.

    Parameters
    ----------
    shop : Shop
        For its currency.
    text : str
        As it was typed.
    number : str
        Of the item, for the sentence that says what is wrong.

    Raises
    ------
    RailFormError
        If it is no amount.
    """
    try:
        amount = read_messy_amount(text[:60], AmountStyle.of([text[:60]], shop.money))
    except ResaleError as fault:
        raise RailFormError(fault.what, where=number, remedy=fault.remedy) from None
    return int(amount.scaleb(shop.money.decimals))
