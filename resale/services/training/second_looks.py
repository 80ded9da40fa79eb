"""Drawing a day's items for a second look by person, and keeping what the second look saw."""

from __future__ import annotations

from datetime import date, datetime

import numpy as np
from sqlalchemy import Engine

from resale.services.actor import Actor
from resale.services.shop import Shop
from resale.services.training.alone import standings
from resale.services.training.sampled import Share, shares_of_day
from resale.services.transaction import transaction
from resale.storage.items.readers import readers
from resale.storage.people.second_looks import (
    NewLook,
    SavedSample,
    save_looks,
    save_sample,
    things_of_day,
)

LARGEST_LOT = 10_000


def plan_day(shop: Shop, day: date, level: float) -> tuple[Share, ...]:
    """Say who of a day's readers is looked at again, and by which plan.

    Parameters
    ----------
    shop : Shop
    day : date
    level : float
        Quality level of those who work alone.

    Returns
    -------
    tuple of Share
        None where nothing came in.
    """
    things = dict(list(things_of_day(shop.records, day).items())[:LARGEST_LOT])
    by = readers(shop.records, things)
    first = {
        number: (by[number][-1].name if number in by else "", kind)
        for number, kind in things.items()
    }
    working = {name: (one.alone_with, one.switching) for name, one in standings(shop).items()}
    return shares_of_day(first, working, level, day)


def draw_day(shop: Shop, actor: Actor, day: date, level: float, seed: int) -> None:
    """Draw a day's items by person; the first draw holds, whatever is asked afterwards.

    Parameters
    ----------
    shop : Shop
    actor : Actor
        The lead who draws.
    day : date
    level : float
        Quality level of those who work alone.
    seed : int
        Kept with the sample, so that the draw can be done again before anybody's eyes.
    """
    random = np.random.default_rng(seed)
    shares = [one.drawn(random) for one in plan_day(shop, day, level)]
    picked = tuple(number for one in shares for number in one.picked)
    lot = sum(len(one.lot) for one in shares)
    plan = {
        "lot": lot,
        "aql": level,
        "seed": seed,
        "shares": [one.as_plain() for one in shares],
    }
    now = shop.now()
    with transaction(shop.records, actor, now) as work:
        save_sample(work.session, SavedSample(day, picked, plan), now)
        work.log("drew items for a second look", day.isoformat())


def take_second_look(records: Engine, actor: Actor, look: NewLook, at: datetime) -> None:
    """Keep a second look, or a third that settles it, beside the first reading.

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
