"""Learn prices from all sales of a chain at once: one model for each shop, most of it shared."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np

from resale.errors import ItemFileError
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.chain.words import ChainWords, Survey
from resale.pricing.make.tells import loadings_from
from resale.pricing.model.columns.prior_columns import plan_from_priors
from resale.pricing.model.fit import fit
from resale.pricing.model.fitted import Fitted
from resale.pricing.model.recipe import recipe_for
from resale.pricing.model.rule_book_priors import KIND, BookCoder, priors_of
from resale.pricing.sums.lots import Here, Lots, itself
from resale.pricing.valuation.price_tables import PriceModel
from resale.pricing.valuation.read_off import InShop, tables_of
from resale.services.chain.lots_of_sales import LotReader, sampled, surveyed
from resale.storage.warehouse.parquet import Piece, pieces_of
from resale.storage.warehouse.workers import OnWorkers

# Makes lots of pieces, here or with workers.
Deal = Callable[[Sequence[Piece], Callable[[Any], Any]], Lots]


@dataclass(frozen=True)
class ChainFit:
    """What all sales of a chain taught.

    Attributes
    ----------
    coder : BookCoder
    fitted : Fitted
    words : ChainWords
    sales : int
    """

    coder: BookCoder
    fitted: Fitted
    words: ChainWords
    sales: int

    def models(self) -> Mapping[str, PriceModel]:
        """Prices of each shop, by its name."""
        labels: dict[str, dict[str, str]] = {shop: {} for shop in self.words.shops}
        for (shop, name), word in self.words.here.items():
            labels[shop][name] = word
        return {
            shop: tables_of(self.coder, self.fitted, InShop(shop, own))
            for shop, own in labels.items()
        }


def fit_chain(
    folder: Path,
    book: RuleBook,
    today: np.datetime64,
    half_life: float,
    client: Any = None,
    *,
    old_wear_counts: float = 1.0,
) -> ChainFit:
    """Learn from a warehouse, in lots of constant memory.

    Parameters
    ----------
    folder : Path
        Of the warehouse.
    book : RuleBook
    today : datetime64
        Sales weigh less the longer ago they were.
    half_life : float
        Days after which a sale counts half.
    client : distributed.Client, optional
        Whose workers go through the sales; this process where there is none.
    old_wear_counts : float
        What of a fault counts on things that are wanted for their age.

    Returns
    -------
    ChainFit

    Raises
    ------
    ItemFileError
        If the folder holds no sale.
    """
    pieces = pieces_of(folder)
    with TemporaryDirectory(prefix="resale-chain-") as scratch:

        def deal(of: Sequence[Piece], load: Callable[[Any], Any]) -> Lots:
            if client is None:
                return Here(of, load, Path(scratch))
            return OnWorkers.of(client, of, load)

        return _fit(pieces, book, today, half_life, deal, old_wear_counts)


def _fit(
    pieces: Sequence[Piece],
    book: RuleBook,
    today: np.datetime64,
    half_life: float,
    deal: Deal,
    old_wear_counts: float,
) -> ChainFit:
    survey: Survey = deal(pieces, itself).total(surveyed, today=today, half_life=half_life)
    strange = [kind for kind in survey.kinds if kind not in book.kinds]
    if strange:
        raise ItemFileError(
            f"kind {strange[0]!r} is not in the rule book",
            where=pieces[0].path,
            remedy="bring these sales in again with the book of today",
        )
    words = ChainWords.of(survey, book)
    loadings = loadings_from(book, sampled(pieces, book))
    priors = priors_of(book, loadings).of([kind for kind in book.kinds if survey.kinds[kind]])
    bare = survey.unread / survey.weight
    encoder = plan_from_priors(priors, KIND, words.frame, np.empty(0), bare)
    coder = BookCoder(book, encoder, loadings, old_wear_counts)
    # A weight is a trust, not a count: they sum to Kish's number of equal sales.
    counted = survey.weight / survey.square
    reader = LotReader(coder, words, today, half_life, counted)
    fitted = fit(recipe_for(encoder, priors), deal(pieces, reader))
    return ChainFit(coder, fitted, words, survey.sales)
