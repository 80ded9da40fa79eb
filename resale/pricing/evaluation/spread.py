"""How far sales lie from their prices as they were read, signs or none."""

from __future__ import annotations

import numpy as np

from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.model.columns.terms import Array
from resale.pricing.valuation.price_tables import PriceModel
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer

# Of a normal distribution: standard deviation over median absolute deviation.
_NORMAL = 1.4826


def spread_as_read(
    book: RuleBook, model: PriceModel, readings: Readings, price: Array, terms: ShopTerms
) -> float:
    """Robust standard deviation of log price around the estimate.

    The noise of a model is what would be left with every sign looked at: of a file with kind,
    label and price alone it is far less than how far these sales spread.

    Parameters
    ----------
    readings : Readings
        Of the sales, as they are.
    price : ndarray, shape (n,)
        In the shop's currency, above 0.
    terms : ShopTerms
        Of the shop.
    """
    estimate = Valuer(book, model, terms).value(readings).estimate
    off = np.log(price) - np.log(estimate)
    return float(_NORMAL * np.median(np.abs(off - np.median(off))))
