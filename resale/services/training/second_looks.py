"""Drawing a day's items for a second look, and keeping what the second look saw."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Engine

from resale.services.actor import Actor
from resale.services.transaction import transaction
from resale.storage.people.second_looks import NewLook, SavedSample, save_looks, save_sample


def draw_sample(records: Engine, actor: Actor, sample: SavedSample, at: datetime) -> None:
    """Keep a day's sample; the first one drawn stays.

    Parameters
    ----------
    records : Engine
    actor : Actor
        The lead who draws.
    sample : SavedSample
    at : datetime
        Now.
    """
    with transaction(records, actor, at) as work:
        save_sample(work.session, sample, at)
        work.log("drew items for a second look", sample.day.isoformat())


def take_second_look(records: Engine, actor: Actor, look: NewLook, at: datetime) -> None:
    """Keep a second look beside the first reading.

    Parameters
    ----------
    records : Engine
    actor : Actor
        Whoever looked.
    look : NewLook
    at : datetime
        Now.

    Raises
    ------
    NotSavedError
        If the item is not in the records.
    """
    with transaction(records, actor, at) as work:
        save_looks(work.session, [look], at)
        work.log("took a second look", look.number)
