"""Loading a file of past sales after its dry run."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Engine

from resale.services.actor import Actor
from resale.services.transaction import transaction
from resale.storage.imports.past.past_load import load
from resale.storage.imports.past.past_sales import DryRun


def load_past_sales(
    records: Engine, actor: Actor, tried: DryRun, currency: str, at: datetime
) -> int:
    """Write the fresh rows of a dry run: all of it or nothing, and never twice.

    Parameters
    ----------
    records : Engine
    actor : Actor
        Whoever loads it.
    tried : DryRun
        What they have seen and confirmed.
    currency : str
        Of the file's amounts, as ISO 4217 names it.
    at : datetime
        Now.

    Returns
    -------
    int
        Past sales added: 0 where the same file, or the same rows, were loaded before.
    """
    with transaction(records, actor, at) as work:
        added = load(work.session, tried, currency=currency, at=at, by=actor.name)
        work.log("loaded past sales", tried.name, rows=added)
    return added
