"""Keeping a model that was fitted: its files, its rule book, and what its row will say."""

from __future__ import annotations

import shutil
from datetime import datetime

from sqlalchemy import Engine

from resale.config.settings import Settings
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.valuation.price_tables import PriceModel
from resale.storage.db.shared_files import share
from resale.storage.models.book_archive import book_name, store_book
from resale.storage.models.model_files import save_model
from resale.storage.models.model_runs import MODELS, FittedModel, share_model, store_model


def keep_fitted(
    engine: Engine,
    book: RuleBook,
    settings: Settings,
    model: PriceModel,
    *,
    at: datetime,
    note: str,
    data: str,
    sales: int,
    spread: float | None,
) -> FittedModel:
    """Keep the files of a model for good, where every machine of the shop reaches them.

    The records know nothing of it before `resale.storage.models.model_runs.register`.

    Parameters
    ----------
    engine : Engine
        The shop's records.
    book : RuleBook
        That the model belongs to.
    settings : Settings
    model : PriceModel
    at : datetime
        Now.
    note : str
        A line for whoever reads the list of models.
    data : str
        Fingerprint of the sales that it rests on.
    sales : int
        How many those are.
    spread : float or None
        How far sales lay from their prices as they were read.

    Returns
    -------
    FittedModel

    Raises
    ------
    ModelFileError
        If the files cannot be written.
    """
    store_book(book, settings.data_folder)
    share(engine, settings.data_folder, [book_name(book.fingerprint)])
    draft = settings.data_folder / MODELS / ".fitting"
    shutil.rmtree(draft, ignore_errors=True)
    manifest = save_model(model, draft, note=note, created=at.date(), data=data)
    folder = store_model(settings, draft)
    # Before the row that says so: whoever follows it has to find the model.
    share_model(engine, settings, folder)
    shutil.rmtree(draft, ignore_errors=True)
    return FittedModel(
        manifest.model_id,
        folder,
        note[:400],
        book.version,
        book.fingerprint,
        data,
        sales,
        float(model.noise),
        at,
        True,
        spread,
    )
