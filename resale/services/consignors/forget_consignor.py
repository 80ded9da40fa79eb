"""Forgetting a consignor who asks for it."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from sqlalchemy import Engine

from resale.services.actor import Actor
from resale.services.transaction import transaction
from resale.storage.people.erasure import Traces, erase_consignor, traces_of
from resale.storage.photos.files import remove_photos


def forget_consignor(
    records: Engine, data_folder: Path, actor: Actor, number: str, at: datetime
) -> Traces:
    """Forget a consignor: the name is replaced, all photos of their items are removed.

    Number, items and what was paid stay, for accounts have to be kept. The files of the photos go
    once the rows are gone; what a crash leaves of them goes with the next tidying.

    Parameters
    ----------
    records : Engine
    data_folder : Path
        Of the shop, where the photos lie.
    actor : Actor
        Whoever does it.
    number : str
        Of the consignor.
    at : datetime
        Now.

    Returns
    -------
    Traces
        What was kept of them before.

    Raises
    ------
    NotSavedError
        If there is none of this number.
    """
    with transaction(records, actor, at) as work:
        before = traces_of(work.session, number)
        names = erase_consignor(work.session, number)
        work.log("forgot a consignor", number.strip().upper(), photos=len(names))
    remove_photos(data_folder, names)
    return before
