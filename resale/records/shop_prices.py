"""Which prices a shop uses: its own, the invented shop's, or those of the rule book alone."""

from __future__ import annotations

from dataclasses import dataclass

from resale.garments.rule_book import RuleBook
from resale.pricing.kind_tables import PriceModel
from resale.pricing.learning import rules_alone
from resale.pricing.shop_terms import ShopTerms
from resale.pricing.valuation import Valuer
from resale.records.model_files import MANIFEST, model_or_rules, read_manifest
from resale.settings import Settings
from resale.shipped import shipped

OWN_FOLDER = "models"


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


def prices_of_shop(settings: Settings, book: RuleBook) -> ShopPrices:
    """Find the prices of a shop.

    The model that comes with the program was learned in the invented shop: it must not pass for
    the sales of a real one, so a shop without sales of its own follows the rule book.
    """
    own = settings.data_folder / OWN_FOLDER
    if (own / MANIFEST).is_file():
        folder = own
    elif settings.invented:
        folder = shipped("models")
    else:
        return prices_by_rules(book)
    model, fallback = model_or_rules(folder, book)
    if fallback:
        return ShopPrices(model, book, _rules_id(book), fallback)
    return ShopPrices(model, book, read_manifest(folder).model_id, None)


def prices_by_rules(book: RuleBook) -> ShopPrices:
    """Prices that follow the rule book alone."""
    return ShopPrices(rules_alone(book), book, _rules_id(book), None)


def _rules_id(book: RuleBook) -> str:
    return f"rules-{book.fingerprint[:12]}"
