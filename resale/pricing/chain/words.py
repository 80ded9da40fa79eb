"""Which labels, shops and labels in a shop get a column, counted over all sales of a chain.

Shops of a chain share kinds, signs, labels and the course of prices. What is a shop's own is a
level, and what a label does there besides: families of columns like those of labels and seasons,
drawn towards nothing as far as the sales do not say otherwise (partial pooling; Gelman and Hill
2007, Data Analysis Using Regression, ch. 12, cited from memory).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import pandas as pd

from resale.garments.labels.label_key import label_key
from resale.garments.measures.warmth import all_seasons
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.model.columns.prior_columns import LABEL_HERE, QUARTER, SHOP
from resale.pricing.model.rule_book_priors import LABEL, SEASON

# A label beyond the most sold ones says too little to pay for its column.
MOST_LABELS, MOST_HERE = 1_000, 800
# Fewer sales of a label in a shop say nothing of that shop's own ways with it.
FEWEST_HERE = 200


@dataclass(frozen=True)
class Survey:
    """Counts over sales; those of lots add up.

    Attributes
    ----------
    sales : int
    weight, square, unread : float
        Sum of the weights, of their squares, and of the weights of sales of which no sign was read.
    kinds : counter of kind id
    quarters : counter of str
    labels : counter of (shop, label as written)
    """

    sales: int = 0
    weight: float = 0.0
    square: float = 0.0
    unread: float = 0.0
    kinds: Counter[str] = field(default_factory=Counter)
    quarters: Counter[str] = field(default_factory=Counter)
    labels: Counter[tuple[str, str]] = field(default_factory=Counter)

    def __add__(self, other: Survey) -> Survey:
        """Count both."""
        return Survey(
            self.sales + other.sales,
            self.weight + other.weight,
            self.square + other.square,
            self.unread + other.unread,
            self.kinds + other.kinds,
            self.quarters + other.quarters,
            self.labels + other.labels,
        )


@dataclass(frozen=True)
class ChainWords:
    """Words that have a column.

    Attributes
    ----------
    shops : tuple of str
    quarters : tuple of str
    names : mapping of str to str
        Of each label with a column, by its key: the spelling most often met.
    here : mapping of (shop, label name) to str
        Word of each label that has a column of its own in a shop.
    seasons : tuple of str
    """

    shops: tuple[str, ...]
    quarters: tuple[str, ...]
    names: Mapping[str, str]
    here: Mapping[tuple[str, str], str]
    seasons: tuple[str, ...]

    @classmethod
    def of(cls, survey: Survey, book: RuleBook) -> ChainWords:
        """Choose by how often each was met.

        Parameters
        ----------
        survey : Survey
        book : RuleBook

        Returns
        -------
        ChainWords
        """
        sold: Counter[str] = Counter()
        written: dict[str, Counter[str]] = {}
        for (_, text), count in survey.labels.items():
            key = label_key(text)
            if key:
                sold[key] += count
                written.setdefault(key, Counter())[text] += count
        often = sorted(sold, key=lambda key: (-sold[key], key))[:MOST_LABELS]
        names = {
            key: min(written[key], key=lambda text: (-written[key][text], text))
            for key in sorted(often)
        }
        here: Counter[tuple[str, str]] = Counter()
        for (shop, text), count in survey.labels.items():
            if label_key(text) in names:
                here[shop, names[label_key(text)]] += count
        pairs = [pair for pair, count in here.items() if count >= FEWEST_HERE]
        most = sorted(pairs, key=lambda pair: (-here[pair], pair))[:MOST_HERE]
        shops = tuple(sorted({shop for shop, _ in survey.labels}))
        return cls(
            shops,
            tuple(sorted(survey.quarters)),
            names,
            {(shop, name): f"{name} in {shop}" for shop, name in sorted(most)},
            all_seasons(book),
        )

    @cached_property
    def frame(self) -> pd.DataFrame:
        """A table without a row that declares every word, as a plan of columns wants it."""
        words: dict[str, tuple[str, ...]] = {
            LABEL: tuple(self.names.values()),
            SEASON: self.seasons,
            QUARTER: self.quarters,
            SHOP: self.shops if len(self.shops) > 1 else (),
            LABEL_HERE: tuple(self.here.values()) if len(self.shops) > 1 else (),
        }
        return pd.DataFrame(
            {name: pd.Categorical([], categories=list(w)) for name, w in words.items() if w}
        )
