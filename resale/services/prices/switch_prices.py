"""Letting prices follow another model that was learned, or none of the Ledger's."""

from __future__ import annotations

from datetime import datetime

from resale.services.actor import Actor
from resale.services.shop import Shop
from resale.services.transaction import transaction
from resale.storage.models.book_in_use import book_of_model
from resale.storage.models.model_runs import check_model, write_switch


def switch_prices(shop: Shop, actor: Actor, model_id: str | None, at: datetime) -> None:
    """Let prices follow another model from now on; stored valuations stay as they were.

    Parameters
    ----------
    actor : Actor
        Whoever switches.
    model_id : str or None
        None goes back to what held before the ledger had models.

    Raises
    ------
    ModelFileError
        If there is no such model, or its files cannot be used.
    RuleBookError
        If no copy of its rule book was kept.
    """
    if model_id is not None:
        book = book_of_model(shop.settings, shop.changed, shop.records, model_id)
        check_model(shop.records, shop.settings, book, model_id)
    with transaction(shop.records, actor, at) as work:
        write_switch(work.session, model_id, at, actor.name)
        work.log("switched prices", model_id or "")
