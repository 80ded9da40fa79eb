"""Pieces of a warehouse as what a fit asks for: counts over them, and lots laid out as columns."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from resale.garments.labels.label_key import label_key
from resale.garments.measures.warmth import seasons_of
from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.chain.words import ChainWords, Survey
from resale.pricing.model.columns.prior_columns import LABEL_HERE, SHOP
from resale.pricing.model.learn import quarters_of
from resale.pricing.model.recency import recency_weights
from resale.pricing.model.recipe import Sales
from resale.pricing.model.rule_book_priors import BookCoder
from resale.pricing.sums.gathering import Lot
from resale.storage.warehouse.parquet import Piece, Sold, read_piece, table_of, words_of

SURVEYED = ("shop", "kind", "label", "sold_on", "looked")
# How signs go together is learned from so many pieces, evenly spaced, and rows of them.
MOST_SAMPLED, EVERY = 24, 20


def surveyed(piece: Piece, today: np.datetime64, half_life: float) -> Survey:
    """Count the sales of a piece, without reading their signs.

    Parameters
    ----------
    piece : Piece
    today : datetime64
    half_life : float
        Days after which a sale counts half.

    Returns
    -------
    Survey
    """
    table = table_of(piece, SURVEYED)
    sold_on = table.column("sold_on").to_numpy().astype("datetime64[D]")
    weight = recency_weights(sold_on, today, half_life)
    unread = table.column("looked").to_numpy() == 0
    shops, labels = words_of(table.column("shop")), words_of(table.column("label"))
    months, counts = np.unique(sold_on.astype("datetime64[M]"), return_counts=True)
    quarters: Counter[str] = Counter()
    for quarter, count in zip(quarters_of(months), counts.tolist(), strict=True):
        quarters[quarter] += count
    return Survey(
        len(weight),
        float(weight.sum()),
        float(weight @ weight),
        float(weight[unread].sum()),
        Counter(words_of(table.column("kind"))),
        quarters,
        Counter(zip(shops, labels, strict=True)),
    )


def sampled(pieces: Sequence[Piece], book: RuleBook) -> Readings:
    """Read some things, evenly spread over the warehouse.

    Parameters
    ----------
    pieces : sequence of Piece
    book : RuleBook

    Returns
    -------
    Readings
        Without their labels.
    """
    step = -(-len(pieces) // MOST_SAMPLED)
    every = EVERY if step > 1 else 1
    read = [read_piece(piece, book).readings for piece in pieces[::step]]
    kinds = np.concatenate([one.kinds[::every] for one in read])
    return Readings(kinds, np.vstack([one.codes[::every] for one in read]), ("",) * len(kinds))


@dataclass(frozen=True)
class LotReader:
    """Makes a lot of a piece: its sales, coded by the columns of the chain.

    Attributes
    ----------
    coder : BookCoder
    words : ChainWords
    today : datetime64
    half_life : float
    counted : float
        By which weights are multiplied, to stand for as many equal sales as say as much.
    """

    coder: BookCoder
    words: ChainWords
    today: np.datetime64
    half_life: float
    counted: float

    def __call__(self, piece: Piece) -> Lot:
        """Read, code and lay out."""
        sold = self.named(read_piece(piece, self.coder.book))
        here = self.words.here
        pairs = zip(sold.shops, sold.readings.labels, strict=True)
        further = {SHOP: sold.shops, LABEL_HERE: [here.get(pair, "") for pair in pairs]}
        items = self.coder.code(sold.readings, quarters_of(sold.sold_on), further)
        weight = recency_weights(sold.sold_on, self.today, self.half_life) * self.counted
        return Lot(self.coder.encoder, Sales(items, np.log(sold.price), weight))

    def named(self, sold: Sold) -> Sold:
        """Call labels as the chain does, and say in which season each was sold."""
        known = {
            text: self.words.names.get(label_key(text), "") for text in {*sold.readings.labels}
        }
        months = sold.sold_on.astype("datetime64[M]").astype(int) % 12 + 1
        seasons = seasons_of(self.coder.book, sold.readings, months.tolist())
        labels = tuple(known[text] for text in sold.readings.labels)
        return replace(sold, readings=replace(sold.readings, labels=labels, seasons=seasons))
