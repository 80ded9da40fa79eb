"""Tax that is contained in what was taken: none, on the margin, or on the whole price.

What a shop has to charge is for its accountant and its tax office to say; this only reckons.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Self

from resale.config.selling import SellingSettings, TaxScheme


@dataclass(frozen=True)
class TaxTerms:
    """How a sale is taxed.

    Attributes
    ----------
    scheme : str
        ``margin``: Council Directive 2006/112/EC, Articles 312 to 325; ``full``: on the price.
    rate : Decimal
        As a share of the amount without tax: 0.2 for 20 %.
    """

    scheme: TaxScheme = "none"
    rate: Decimal = Decimal(0)

    @classmethod
    def of(cls, settings: SellingSettings) -> Self:
        """Give what the shop's settings say."""
        return cls(settings.tax_scheme, settings.tax_rate)


NO_TAX = TaxTerms()


def contained_tax(price: int, paid_for_it: int, terms: TaxTerms) -> int:
    """Tell the tax within a price, in minor units, half a unit up.

    Full: price * rate / (1 + rate). Margin: the same of the profit margin, which is the selling
    price less the purchase price (Articles 312 and 315: the taxable amount is the margin less the
    tax that relates to it); nothing where there is no profit.

    Parameters
    ----------
    price : int
        What the buyer pays, tax and all; minor units.
    paid_for_it : int
        What whoever brought it gets of that; 0 for what was given to the shop. Minor units.
    terms : TaxTerms

    Returns
    -------
    int

    Examples
    --------
    >>> contained_tax(150000, 50000, TaxTerms("margin", Decimal("0.2")))
    16667
    """
    if terms.scheme == "none":
        return 0
    whole = price if terms.scheme == "full" else max(price - paid_for_it, 0)
    part = Decimal(whole) * terms.rate / (1 + terms.rate)
    return int(part.quantize(Decimal(1), rounding=ROUND_HALF_UP))
