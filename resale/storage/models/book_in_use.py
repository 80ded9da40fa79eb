"""The rule book with a shop's own changes, and the prices that follow it.

A model speaks for the book that it was fitted with. After a change of the book, until the sales
have been read by the new one, prices go on by the book and the model of before: a change of one
opinion must not throw away all that the sales taught.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from sqlalchemy import Engine

from resale.config.settings import Settings
from resale.errors import RuleBookError
from resale.garments.rulebook.overlay import apply_overlay
from resale.garments.rulebook.rule_book import RuleBook, load_rule_book
from resale.storage.models.book_archive import book_at_hand
from resale.storage.models.model_runs import current_model_id, fitted_models
from resale.storage.models.rule_changes import overlay_of, take_in_file
from resale.storage.models.shop_prices import ShopPrices, prices_of_shop

BEHIND = (
    "The rule book was changed since prices were last learned. Until they are learned again, "
    "prices follow the rule book and the sales of before the change."
)


def book_of_shop(settings: Settings, records: Engine | None = None) -> RuleBook:
    """Load the rule book with the shop's own changes.

    Parameters
    ----------
    records : Engine, optional
        Of a shop that is open: its changes are rows there. A shop without records may have them
        in a file.

    Raises
    ------
    RuleBookError
        If the changes cannot be read, or no longer fit the book.
    """
    if records is not None:
        take_in_file(records, settings.data_folder, datetime.now(UTC))
    return apply_overlay(load_rule_book(), overlay_of(records, settings.data_folder))


def prices_in_use(settings: Settings, book: RuleBook, records: Engine) -> ShopPrices:
    """Find the prices that a shop goes by now, with the book that they belong to.

    Parameters
    ----------
    book : RuleBook
        With all changes of the shop, as `book_of_shop` gives it.
    """
    prices = prices_of_shop(settings, book, records)
    if prices.fallback is None:
        return prices
    before = _book_before(settings, book, records)
    if before is None or before.fingerprint == book.fingerprint:
        return prices
    older = prices_of_shop(settings, before, records)
    return prices if older.fallback else replace(older, fallback=BEHIND)


def book_of_model(
    settings: Settings, book: RuleBook, records: Engine, model_id: str | None
) -> RuleBook:
    """Find the rule book that a model was fitted with.

    Parameters
    ----------
    book : RuleBook
        The present one, given back where the model is none of the ledger's.

    Raises
    ------
    RuleBookError
        If no copy of that book was kept.
    """
    for one in fitted_models(records, settings):
        if one.model_id == model_id:
            return book_at_hand(records, one.book_fingerprint, settings.data_folder, book)
    return book


def _book_before(settings: Settings, book: RuleBook, records: Engine) -> RuleBook | None:
    """Find the book that the model in use was fitted with; the shipped one where none is."""
    current = current_model_id(records)
    if current is None:
        return load_rule_book()
    try:
        return book_of_model(settings, book, records, current)
    except RuleBookError:
        return None
