"""From a rule book and past sales to a price model."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from resale.garments.rulebook.readings import NOT_LOOKED_AT, Readings
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.make.tells import Loadings, loadings_from
from resale.pricing.model.columns.prior_columns import QUARTER, plan_from_priors
from resale.pricing.model.columns.terms import Array
from resale.pricing.model.fit import fit
from resale.pricing.model.fitted import Fitted
from resale.pricing.model.priors import Priors
from resale.pricing.model.recency import Days, as_counts
from resale.pricing.model.recipe import Sales, recipe_for
from resale.pricing.model.rule_book_priors import KIND, LABEL, SEASON, BookCoder, priors_of
from resale.pricing.valuation.price_tables import PriceModel
from resale.pricing.valuation.read_off import tables_of


def learn(
    book: RuleBook,
    readings: Readings,
    price: Array,
    weight: Array | None = None,
    *,
    sold_on: Days | None = None,
    loadings: Loadings | None = None,
    old_wear_counts: float = 1.0,
) -> PriceModel:
    """Fit the rule book to past sales.

    Parameters
    ----------
    book : RuleBook
    readings : Readings
        The items sold; may be empty, then the model is the rules alone.
    price : ndarray, shape (n,)
        What each brought (above 0), in the shop's currency.
    weight : ndarray, shape (n,), optional
        How much each sale counts against the others; all alike where omitted.
    sold_on : ndarray of datetime64, shape (n,), optional
        Day of each sale: prices are then given at the level of the newest quarter.
    loadings : mapping of kind id to ndarray, optional
        How signs of make go together, where more was read than what sold
        (`resale.pricing.make.tells.loadings_from`); learned from these items where omitted.
    old_wear_counts : float
        What of a fault counts on things that are wanted for their age, as their prices will be
        given (`ShopTerms.old_wear_counts`).

    Returns
    -------
    PriceModel
    """
    coder, fitted = fit_book(
        book,
        readings,
        price,
        weight,
        sold_on=sold_on,
        loadings=loadings,
        old_wear_counts=old_wear_counts,
    )
    return tables_of(coder, fitted)


def rules_alone(book: RuleBook) -> PriceModel:
    """Return the model of a shop that has not sold anything yet."""
    nothing = Readings(np.empty(0, np.intp), np.empty((0, len(book.signal_ids)), np.int16), ())
    return learn(book, nothing, np.empty(0))


def fit_book(
    book: RuleBook,
    readings: Readings,
    price: Array,
    weight: Array | None = None,
    *,
    sold_on: Days | None = None,
    loadings: Loadings | None = None,
    old_wear_counts: float = 1.0,
) -> tuple[BookCoder, Fitted]:
    """Fit, as `learn` does, and return the columns' weights themselves.

    Parameters
    ----------
    book : RuleBook
    readings, price, weight, sold_on, loadings, old_wear_counts
        As for `learn`.

    Returns
    -------
    coder : BookCoder
        That turns readings into columns.
    fitted : Fitted
    """
    plan = plan_fit(
        book,
        readings,
        price,
        weight,
        sold_on=sold_on,
        loadings=loadings,
        old_wear_counts=old_wear_counts,
    )
    return plan.coder, fit(recipe_for(plan.coder.encoder, plan.priors), plan.sales)


@dataclass(frozen=True)
class Plan:
    """What will be fitted to what: columns, what is believed of them, and sales in their codes."""

    coder: BookCoder
    priors: Priors
    sales: Sales


def plan_fit(
    book: RuleBook,
    readings: Readings,
    price: Array,
    weight: Array | None = None,
    *,
    sold_on: Days | None = None,
    loadings: Loadings | None = None,
    old_wear_counts: float = 1.0,
) -> Plan:
    """Lay out a fit without making it.

    Parameters
    ----------
    book : RuleBook
    readings, price, weight, sold_on, loadings, old_wear_counts
        As for `learn`.

    Returns
    -------
    Plan
    """
    if loadings is None:
        loadings = loadings_from(book, readings) if len(readings) else {}
    # A kind of which nothing sold has no column here: see `resale.pricing.valuation.without_sales`.
    sold = [kind for place, kind in enumerate(book.kinds) if np.any(readings.kinds == place)]
    priors = priors_of(book, loadings).of(sold)
    quarters = quarters_of(sold_on) if sold_on is not None else ()
    words = {LABEL: readings.labels, SEASON: readings.seasons, QUARTER: quarters}
    frame = pd.DataFrame({name: _or_none(said) for name, said in words.items() if any(said)})
    # A weight is a trust, not a count: taken for counts, weights below 1 would throw sales away.
    sales_weight = np.ones(len(price)) if weight is None else as_counts(weight)
    unread = (readings.codes == NOT_LOOKED_AT).all(axis=1)
    bare = float(np.average(unread, weights=sales_weight)) if len(price) else 0.0
    encoder = plan_from_priors(priors, KIND, frame, sales_weight, bare)
    coder = BookCoder(book, encoder, loadings, old_wear_counts)
    sales = Sales(coder.code(readings, quarters), np.log(price), sales_weight)
    return Plan(coder, priors, sales)


def quarters_of(sold_on: Days) -> tuple[str, ...]:
    """Quarter of each day: ``2026-3`` is July to September."""
    months = sold_on.astype("datetime64[M]").astype(int)
    return tuple(f"{1970 + month // 12}-{month % 12 // 3 + 1}" for month in months.tolist())


def _or_none(words: tuple[str, ...]) -> pd.Series:
    return pd.Series(words, dtype=object).replace("", None)
