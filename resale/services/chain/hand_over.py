"""Handing prices that were learned from a whole chain over to one of its shops."""

from __future__ import annotations

import hashlib
from datetime import datetime

from resale.pricing.evaluation.spread import spread_as_read
from resale.pricing.valuation.price_tables import PriceModel
from resale.services.actor import Actor
from resale.services.chain.desk import ChainError
from resale.services.shop import Shop
from resale.services.transaction import transaction
from resale.storage.ledger.sold_items import sold_items
from resale.storage.models.keep_fitted import keep_fitted
from resale.storage.models.model_runs import OF_CHAIN, FittedModel, register


def hand_over(
    shop: Shop, actor: Actor, model: PriceModel, digest: str, at: datetime, note: str = ""
) -> FittedModel:
    """Let a shop's prices follow a model of the chain, as one that it learned itself.

    It stands in the shop's list of learned prices, can be gone back from, and each valuation made
    by it can be worked out again.

    Parameters
    ----------
    shop : Shop
    actor : Actor
        Whoever hands it over.
    model : PriceModel
        For this shop.
    digest : str
        SHA-256 of the model's file: sales of a chain have no fingerprint of their own.
    at : datetime
        Now.
    note : str
        A line for whoever reads the list.

    Returns
    -------
    FittedModel

    Raises
    ------
    ChainError
        If the shop's rule book is another than the one that they were learned by.
    ModelFileError
        If the files cannot be written.
    """
    name, book = shop.settings.name, shop.changed
    if model.book_fingerprint != book.fingerprint:
        raise ChainError(
            "its rule book is another than the one that these prices were learned by",
            where=name,
            remedy="make the same changes in both rule books, and learn again",
        )
    sold = sold_items(shop.records, book, shop.settings)
    some = len(sold) > 0
    spread = spread_as_read(book, model, sold.readings, sold.price, shop.terms) if some else None
    data = OF_CHAIN + hashlib.sha256(digest.encode()).hexdigest()[: 64 - len(OF_CHAIN)]
    found = keep_fitted(
        shop.records,
        book,
        shop.settings,
        model,
        at=at,
        note=note or f"Learned from all shops of the chain, for {name}",
        data=data,
        sales=round(model.sales),
        spread=spread,
    )
    with transaction(shop.records, actor, at) as work:
        register(work.session, found, at, actor.name)
        work.log("handed prices of the chain over", found.model_id)
    return found
