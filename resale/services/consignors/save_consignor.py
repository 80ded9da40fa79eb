"""Keeping a consignor, or giving one another name."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Engine

from resale.services.actor import Actor
from resale.services.transaction import transaction
from resale.storage.ledger.consignors import save_consignor as write_consignor


def save_consignor(
    records: Engine, actor: Actor, number: str, name: str, at: datetime, *, renames: bool = False
) -> str:
    """Keep a consignor, or give the one of this number a name.

    Parameters
    ----------
    records : Engine
    actor : Actor
        Whoever does it.
    number : str
        Empty for the next that is free.
    name : str
        Of the person; it stays out of the audit log, so that it can be forgotten.
    at : datetime
        Now.
    renames : bool
        Whether another name than the one that is kept is meant.

    Returns
    -------
    str
        The number, in capitals.

    Raises
    ------
    ConsignorError
        If number or name cannot be kept, or the number is somebody else's.
    """
    with transaction(records, actor, at) as work:
        number = write_consignor(work.session, number, name, at, renames=renames)
        work.log("saved a consignor", number)
    return number
