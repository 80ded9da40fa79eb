"""What things are worth and what they brought, kind by kind, side by side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from resale.services.shop import Shop
from resale.storage.ledger.sold_items import SoldItems


@dataclass(frozen=True)
class Brought:
    """One kind. Money in minor units.

    Attributes
    ----------
    sales : int
    worth : int
        Middle of what the prices in use say of the things sold: where half would sell in the
        usual time.
    price : int
        Middle of what was paid for the same things.
    """

    kind: str
    sales: int
    worth: int
    price: int


def what_sales_brought(shop: Shop, sold: SoldItems) -> tuple[Brought, ...]:
    """Set worth beside price for every kind that sold.

    Parameters
    ----------
    shop : Shop
    sold : SoldItems

    Returns
    -------
    tuple of Brought
    """
    if not len(sold):
        return ()
    unit = 10**shop.money.decimals
    worth = shop.valuer.value(sold.readings).estimate
    found = []
    for place, kind in enumerate(shop.book.kinds):
        mine = sold.readings.kinds == place
        if mine.any():
            middles = (np.median(values[mine]) * unit for values in (worth, sold.price))
            found.append(Brought(kind, int(mine.sum()), *(round(float(one)) for one in middles)))
    return tuple(found)
