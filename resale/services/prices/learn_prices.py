"""Learning prices from what sold; prices follow what was learned."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from sqlalchemy import Engine

from resale.config.settings import Settings
from resale.garments.rulebook.rule_book import RuleBook
from resale.services.actor import Actor
from resale.services.transaction import transaction
from resale.storage.models.fits import STEPS, Progress, fit_from_ledger, steps_of
from resale.storage.models.model_runs import FittedModel, fitted_models, register


def learn_prices(
    records: Engine,
    settings: Settings,
    book: RuleBook,
    actor: Actor,
    at: datetime,
    progress: Progress | None = None,
    note: str = "",
) -> FittedModel:
    """Learn prices from all that sold, keep the model for good and let prices follow it.

    Parameters
    ----------
    book : RuleBook
        With all changes of the shop.
    actor : Actor
        Whoever asked for it.
    at : datetime
        Now: sales weigh less the longer ago they were.
    progress : callable, optional
        Called at each step with (done, of, what comes next).
    note : str
        A line for whoever reads the list of models.

    Raises
    ------
    NothingSoldError
        If nothing sold yet.
    ModelFileError
        If the model cannot be written.
    """
    found = fit_from_ledger(records, book, settings, at, progress, note)
    with transaction(records, actor, at) as work:
        register(work.session, found, at, actor.name)
        work.log("let prices be learned", found.model_id)
    steps_of(progress)(len(STEPS) - 1)
    known = {one.model_id: one for one in fitted_models(records, settings)}
    return replace(known[found.model_id], spread=found.spread)
