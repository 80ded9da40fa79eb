"""Whether anything is known of what a kind brings in this shop."""

from __future__ import annotations

from functools import lru_cache

from resale.config.settings import Settings
from resale.garments.rulebook.rule_book import RuleBook, load_rule_book
from resale.pricing.valuation.valuer import Valuer

# The anchors of the shipped book are one author's opinion of a western European town, in euro.
ANCHORS_IN = "EUR"


def unpriced(valuer: Valuer, settings: Settings, kind: str) -> str:
    """Why no ticket is proposed for a kind; empty where one is.

    An anchor of the book is one author's opinion of another town, and in another money it is
    nothing at all: any shop is asked first, until it says what ordinary things bring, or has sold
    some of the kind, or says that the book's opening prices hold here.

    Parameters
    ----------
    valuer : Valuer
        By the prices in use.
    settings : Settings
    kind : str
        Id of a kind of its book.

    Notes
    -----
    Things without a kind are no matter of this: see `Decided.by_hand`.
    """
    if settings.invented or (settings.opening_prices_hold and settings.currency == ANCHORS_IN):
        return ""
    book, model = valuer.book, valuer.model
    place = list(book.kinds).index(kind)
    if model.sales and model.scores.counts.get(place, 0):
        return ""
    text = book.kinds[kind].text
    if is_stated(book, kind):
        return ""
    return (
        f"nobody said yet what ordinary {text.plural.lower()} bring in {settings.currency}: say it "
        "under Rule book, Ordinary prices, or set a price by hand"
    )


def is_stated(book: RuleBook, kind: str) -> bool:
    """Whether somebody of the shop said what ordinary things of a kind bring.

    Parameters
    ----------
    book : RuleBook
        With the shop's changes.
    kind : str
    """
    return book.kinds[kind].text.anchor != _shipped_anchors().get(kind)


@lru_cache(maxsize=1)
def _shipped_anchors() -> dict[str, float]:
    return {kind.id: kind.text.anchor for kind in load_rule_book().kinds.values()}
