"""Trying other settings on what is on hand, before they are written down; nothing is written."""

from __future__ import annotations

from dataclasses import replace

from resale.config.settings import Settings
from resale.pricing.evaluation.terms_what_if import TermsOutlook, outlook_of_terms
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.services.shop import Shop
from resale.storage.items.on_hand_readings import on_hand_readings


def try_terms(shop: Shop, after: Settings) -> TermsOutlook:
    """Value what is on hand by other settings, with the book and the model in use.

    Parameters
    ----------
    shop : Shop
    after : Settings
        As they would be.

    Returns
    -------
    TermsOutlook
        Tickets, routes and next checks before and after; money in the shop's currency.
    """
    _, on_hand = on_hand_readings(shop.records, shop.book)
    then = replace(shop.valuer, terms=ShopTerms.of(after))
    before, later = (1.0 - float(one.consignor_share) for one in (shop.settings, after))
    return outlook_of_terms(shop.valuer, then, (before, later), on_hand)
