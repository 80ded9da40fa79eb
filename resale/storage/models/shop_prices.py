"""Which prices a shop uses: its own, the invented shop's, or those of the rule book alone."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Engine

from resale.config.paths import shipped
from resale.config.settings import Settings
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.model.learn import rules_alone
from resale.pricing.valuation.price_tables import PriceModel
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer
from resale.storage.db.database import records_as_they_are
from resale.storage.db.shared_files import fetch, fetch_anew, share, shared_digests
from resale.storage.models.book_archive import book_name, store_book
from resale.storage.models.model_files import MANIFEST, model_or_rules, read_manifest
from resale.storage.models.model_runs import (
    MODELS,
    current_model_id,
    model_at_hand,
    model_folder,
    share_model,
    store_model,
)
from resale.storage.models.version_in_use import OWN_MANIFEST

OWN_FOLDER = MODELS


_BY_RULES: dict[str, ShopPrices] = {}
_HELD = 4


@dataclass(frozen=True)
class ShopPrices:
    """The model of a shop.

    Attributes
    ----------
    model_id : str
        Short name of the model, or of the rule book it stands for.
    fallback : str or None
        Sentence that says why it is not the model one would expect.
    """

    model: PriceModel
    book: RuleBook
    model_id: str
    fallback: str | None

    def valuer(self, terms: ShopTerms) -> Valuer:
        """Value items by these prices and the shop's terms."""
        return Valuer(self.book, self.model, terms)


def prices_of_shop(settings: Settings, book: RuleBook, records: Engine | None = None) -> ShopPrices:
    """Find the prices of a shop: those of its ledger, of its own models folder, or the rules.

    The model that comes with the program was learned in the invented shop: it must not pass for
    the sales of a real one, so a shop without sales of its own follows the rule book.

    Parameters
    ----------
    records : Engine, optional
        Of a shop that is open. Book and model are then kept, so that what is valued by them can
        be worked out again; without it, the records are looked at and left as they are.
    """
    folder = _folder_in_use(settings, records)
    prices = prices_by_rules(book) if folder is None else _prices_in(folder, book)
    if records is not None:
        store_book(book, settings.data_folder)
        share(records, settings.data_folder, [book_name(book.fingerprint)])
        if folder is not None and not prices.fallback:
            share_model(records, settings, store_model(settings, folder))
    return prices


def _folder_in_use(settings: Settings, records: Engine | None) -> Path | None:
    current = _of_ledger(settings) if records is None else current_model_id(records)
    if current is not None:
        if records is None:
            return model_folder(settings, current)
        return model_at_hand(records, settings, current)
    own = settings.data_folder / OWN_FOLDER
    if records is not None:
        _own_at_hand(records, settings)
    if (own / MANIFEST).is_file():
        return own
    return shipped("models") if settings.invented else None


def share_own_prices(records: Engine, settings: Settings) -> None:
    """Let every machine of the shop follow prices that were learned from a file on this one.

    Parameters
    ----------
    records : Engine
        Of the shop; where they lie in a file there is nothing to share.
    settings : Settings
    """
    share_model(records, settings, settings.data_folder / OWN_FOLDER)


def _own_at_hand(records: Engine, settings: Settings) -> None:
    digest = shared_digests(records, OWN_MANIFEST).get(OWN_MANIFEST)
    if digest is None:
        return
    fetch_anew(records, settings.data_folder, OWN_MANIFEST, digest)
    manifest = read_manifest(settings.data_folder / OWN_FOLDER)
    fetch(records, settings.data_folder, f"{OWN_FOLDER}/{manifest.file}")


def _of_ledger(settings: Settings) -> str | None:
    """Look at the records of a shop that is not open, without making or migrating any."""
    engine = records_as_they_are(settings)
    if engine is None:
        return None
    try:
        return current_model_id(engine)
    finally:
        engine.dispose()


def _prices_in(folder: Path, book: RuleBook) -> ShopPrices:
    model, fallback = model_or_rules(folder, book)
    if fallback:
        return ShopPrices(model, book, _rules_id(book), fallback)
    return ShopPrices(model, book, read_manifest(folder).model_id, None)


def prices_by_rules(book: RuleBook) -> ShopPrices:
    """Prices that follow the rule book alone; those of the last books are kept at hand."""
    prices = _BY_RULES.get(book.fingerprint)
    if prices is None:
        prices = ShopPrices(rules_alone(book), book, _rules_id(book), None)
        _BY_RULES[book.fingerprint] = prices
        for oldest in list(_BY_RULES)[:-_HELD]:
            _BY_RULES.pop(oldest, None)
    return prices


def _rules_id(book: RuleBook) -> str:
    return f"rules-{book.fingerprint[:12]}"
