"""A consignor's share of a price: exact, in minor units, half a unit in their favour.

The shop keeps the rest of that item's price. So every line adds up, and every column does.
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal


def share_of(price: int, share: Decimal) -> int:
    """Give a share of a price in whole minor units, half a unit up.

    Parameters
    ----------
    price : int
        Minor units.
    share : Decimal
        Part of the price, from 0 to 1.

    Returns
    -------
    int
        Minor units.

    Examples
    --------
    >>> share_of(1235, Decimal("0.5"))
    618
    """
    return int((price * share).quantize(Decimal(1), rounding=ROUND_HALF_UP))


def share_text(share: Decimal) -> str:
    """Write a share as records keep it: a part of the whole, to a ten-thousandth of a percent.

    Examples
    --------
    >>> share_text(Decimal("0.50")), share_text(Decimal(1) / 3)
    ('0.5', '0.333333')
    """
    return f"{share.quantize(Decimal('0.000001')).normalize():f}"
