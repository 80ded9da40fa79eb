"""Fitting prices to the ledger: each fit is a new model, kept for good."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime

from sqlalchemy import Engine

from resale.config.settings import Settings
from resale.errors import ResaleError
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.evaluation.spread import spread_as_read
from resale.pricing.make.tells import loadings_from
from resale.pricing.model.learn import learn
from resale.pricing.valuation.price_tables import PriceModel
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.storage.items.latest_readings import all_readings
from resale.storage.ledger.sold_items import SoldItems, sold_items
from resale.storage.models.keep_fitted import keep_fitted
from resale.storage.models.model_files import data_fingerprint
from resale.storage.models.model_runs import FittedModel
from resale.storage.models.taught_worths import taught_worths

# Called with steps done, steps in all, and what comes next.
Progress = Callable[[int, int, str], None]
STEPS = ("Collecting what sold", "Learning from it", "Keeping the model", "Done")


@dataclass(frozen=True)
class Learned:
    """A model with what it was learned from.

    Attributes
    ----------
    sold : SoldItems
        All that sold.
    taught : SoldItems
        What the model was fitted to: worths where things hung, else the sales.
    """

    model: PriceModel
    sold: SoldItems
    taught: SoldItems


class NothingSoldError(ResaleError):
    """There is no sale to learn from."""


def fit_from_ledger(
    engine: Engine,
    book: RuleBook,
    settings: Settings,
    at: datetime,
    progress: Progress | None = None,
    note: str = "",
) -> FittedModel:
    """Learn prices from all that hung and all that sold, and keep the model's files for good.

    The records know nothing of it before `resale.storage.models.model_runs.register`.

    Parameters
    ----------
    at : datetime
        Now: sales weigh less the longer ago they were.
    progress : callable, optional
        Called at each step with (done, of, what comes next).
    note : str
        A line for whoever reads the list of models.

    Returns
    -------
    FittedModel

    Raises
    ------
    NothingSoldError
        If nothing sold yet.
    ModelFileError
        If the model cannot be written.
    """
    at_step = steps_of(progress)
    at_step(0)
    sold = sold_items(engine, book, settings)
    if not len(sold):
        raise NothingSoldError(
            "nothing sold yet, so there is nothing to learn from",
            where="Ledger",
            remedy="record sales, or bring your past sales in",
        )
    at_step(1)
    learned = learn_from_records(engine, book, settings, sold, at.date())
    model, taught = learned.model, learned.taught
    at_step(2)
    spread = spread_as_read(book, model, taught.readings, taught.price, ShopTerms.of(settings))
    return keep_fitted(
        engine,
        book,
        settings,
        model,
        at=at,
        note=note,
        data=sales_fingerprint(sold),
        sales=len(sold),
        spread=spread,
    )


def learn_from_records(
    engine: Engine, book: RuleBook, settings: Settings, sold: SoldItems, today: date
) -> Learned:
    """Learn prices as a shop does, and keep nothing.

    Parameters
    ----------
    engine : Engine
    book : RuleBook
    settings : Settings
    sold : SoldItems
        All that sold, read by this book.
    today : date
        Sales weigh less the longer ago they were.

    Returns
    -------
    Learned
    """
    loadings = loadings_from(book, all_readings(engine, book))
    taught = taught_worths(engine, book, settings, sold, today, loadings)
    weights = taught.weights(today, settings.half_life_days)
    learned = learn(
        book,
        taught.readings,
        taught.price,
        weights,
        sold_on=taught.sold_on,
        loadings=loadings,
        old_wear_counts=settings.old_wear_counts,
    )
    # Where a screen says how many sales a price rests on, it means sales, not their weights.
    return Learned(replace(learned, sales=float(len(sold))), sold, taught)


def steps_of(progress: Progress | None) -> Callable[[int], None]:
    """Give what says how far a fit is; `len(STEPS) - 1` is its end."""

    def at_step(done: int) -> None:
        if progress is not None:
            progress(done, len(STEPS) - 1, STEPS[done])

    return at_step


def sales_fingerprint(sold: SoldItems) -> str:
    """SHA-256 over the sales that a fit rests on."""
    return data_fingerprint(sold.readings, sold.price)
