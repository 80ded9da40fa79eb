"""How well prices learned from sales do on sales they have not seen, against the rules alone."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.model.columns.terms import Array
from resale.pricing.model.learn import learn, rules_alone
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.tiers import Index
from resale.pricing.valuation.valuer import Valuer

FOLDS = 5
# With fewer sales than this the figures would say more of luck than of the model.
FEWEST = 30

Along = Callable[[Sequence[int]], Iterable[int]]


@dataclass(frozen=True)
class Validation:
    """Figures from sales priced by a model that never saw them.

    Errors are medians of the absolute log error: half of the sales lie within that of their
    estimate. As a factor, 0.2 is about 22 % either way.

    Attributes
    ----------
    learned : float
        Of the model.
    rules : float
        Of the rule book alone.
    levelled : float
        Of the rule book with only the anchor of each kind moved to the other sales' median:
        what the sales of a shop teach by their height alone.
    inside : float
        Share of the sales that lie in their band.
    coverage : float
        Share that the bands promise.
    """

    sales: int
    learned: float
    rules: float
    levelled: float
    inside: float
    coverage: float


def cross_validate(
    book: RuleBook,
    readings: Readings,
    price: Array,
    terms: ShopTerms,
    *,
    along: Along = iter,
) -> Validation:
    """Price each fifth of the sales by a model fitted to the other four.

    Parameters
    ----------
    readings, price : Readings, ndarray of shape (n,)
        Past sales, `FEWEST` or more.
    along : callable, optional
        Wraps the list of folds; a progress bar.
    """
    rules = Valuer(book, rules_alone(book), terms).value(readings)
    target, by_rules = np.log(price), np.log(rules.estimate)
    learned, levelled, inside = np.empty((3, len(price)))
    # Files of sales are in order of time, so every fifth row keeps all seasons in each part.
    fold = np.arange(len(price)) % FOLDS
    for out in along(range(FOLDS)):
        validation, training = np.flatnonzero(fold == out), np.flatnonzero(fold != out)
        model = learn(
            book,
            readings.rows(training),
            price[training],
            old_wear_counts=terms.old_wear_counts,
        )
        found = Valuer(book, model, terms).value(readings.rows(validation))
        learned[validation] = target[validation] - np.log(found.estimate)
        inside[validation] = (found.low <= price[validation]) & (price[validation] <= found.high)
        moved = _levels(readings.kinds[training], (target - by_rules)[training], len(book.kinds))
        levelled[validation] = (target - by_rules)[validation] - moved[readings.kinds[validation]]
    return Validation(
        len(price),
        _typical(learned),
        _typical(target - by_rules),
        _typical(levelled),
        float(inside.mean()),
        terms.coverage,
    )


def _typical(error: Array) -> float:
    return float(np.median(np.abs(error)))


def _levels(kinds: Index, error: Array, count: int) -> Array:
    """Median error of each kind; 0 for a kind without sales."""
    own = (error[kinds == kind] for kind in range(count))
    return np.array([np.median(errors) if len(errors) else 0.0 for errors in own])
