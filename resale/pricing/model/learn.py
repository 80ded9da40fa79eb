"""From a rule book and past sales to a price model."""

from __future__ import annotations

import numpy as np
import pandas as pd

from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.model.columns import plan_from_beliefs
from resale.pricing.model.estimator import RulePriorRegressor
from resale.pricing.model.fit import Sales
from resale.pricing.model.fitted import Fitted
from resale.pricing.model.recency import as_counts
from resale.pricing.model.rule_book_priors import KIND, LABEL, SEASON, BookCoder, beliefs_of
from resale.pricing.model.terms import Array
from resale.pricing.valuation.price_tables import PriceModel, tables_of


def learn(
    book: RuleBook, readings: Readings, price: Array, weight: Array | None = None
) -> PriceModel:
    """Fit the rule book to past sales.

    Parameters
    ----------
    readings : Readings
        The items sold; may be empty, then the model is the rules alone.
    price : ndarray, shape (n,)
        What each brought (above 0), in the shop's currency.
    weight : ndarray, shape (n,), optional
        How much each sale counts against the others; all alike where omitted.

    Returns
    -------
    PriceModel
    """
    return tables_of(book, fit_book(book, readings, price, weight))


def rules_alone(book: RuleBook) -> PriceModel:
    """Return the model of a shop that has not sold anything yet."""
    nothing = Readings(np.empty(0, np.intp), np.empty((0, len(book.signal_ids)), np.int16), ())
    return learn(book, nothing, np.empty(0))


def fit_book(
    book: RuleBook, readings: Readings, price: Array, weight: Array | None = None
) -> Fitted:
    """Fit, as `learn` does, and return the columns' weights themselves."""
    beliefs = beliefs_of(book)
    words = {LABEL: readings.labels, SEASON: readings.seasons}
    frame = pd.DataFrame({name: _or_none(said) for name, said in words.items() if any(said)})
    # A weight is a trust, not a count: taken for counts, weights below 1 would throw sales away.
    sales_weight = np.ones(len(price)) if weight is None else as_counts(weight)
    encoder = plan_from_beliefs(beliefs, KIND, frame, sales_weight)
    sales = Sales(BookCoder(book, encoder).code(readings), np.log(price), sales_weight)
    return RulePriorRegressor(groups=KIND, beliefs=beliefs).fit_coded(encoder, sales).fitted_


def _or_none(words: tuple[str, ...]) -> pd.Series:
    return pd.Series(words, dtype=object).replace("", None)
