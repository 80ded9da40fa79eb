"""Whether drilling helps somebody: an order stated beforehand, and what second looks say of it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np

from resale.errors import ReadingError
from resale.services.actor import Actor
from resale.services.shop import Shop
from resale.services.training.read_twice import read_twice
from resale.services.transaction import transaction
from resale.storage.people.introductions import (
    Introduction,
    add_introduction,
    introduction_of,
)
from resale.storage.people.people import Person
from resale.training.oversight.before_after import Effect, Look, difference_in_differences
from resale.training.oversight.read_again import ReadAgain, costs_by_sign

AT_ONCE, EVERY, MOST = 2, timedelta(days=14), 6
"""So many signs begin together, so long after the ones before, and so many in all."""

BEFORE = timedelta(days=84)
"""How far back looks count as those before drilling."""


@dataclass(frozen=True, slots=True)
class Helped:
    """What is known of one person.

    Attributes
    ----------
    stated : Introduction or None
    effect : Effect or None
        None where no order was stated.
    """

    stated: Introduction | None
    effect: Effect | None


def helped(shop: Shop, person: Person) -> Helped:
    """Compare drilled signs with the person's own others, before and after.

    Parameters
    ----------
    shop : Shop
    person : Person
    """
    stated = introduction_of(shop.records, person.id)
    if stated is None:
        return Helped(None, None)
    first = min(stated.starts.values())
    since = min(stated.at, _morning(first)) - BEFORE
    mine = [one for one in read_twice(shop, since) if one.reader == person.name]
    return Helped(stated, difference_in_differences(_looks(mine, stated, since)))


def _morning(day: date) -> datetime:
    return datetime.combine(day, datetime.min.time()).astimezone()


def _looks(many: Sequence[ReadAgain], stated: Introduction, since: datetime) -> list[Look]:
    """Every look at every sign; one that was never to be drilled is drilled never."""
    found = []
    for one in many:
        week, day = (one.at - since).days // 7, one.at.astimezone().date()
        wrong = {x.signal.id for x in one.found.differences if x.what != "extra"}
        for sign in one.looked:
            start = stated.starts.get(sign)
            found.append(Look(sign, week, start is not None and day >= start, sign in wrong))
    return found


def state_order(
    shop: Shop, actor: Actor, person: Person, drilled: Collection[str], seed: int, at: datetime
) -> None:
    """Draw in which order somebody's dearest signs begin to be drilled, and write it down.

    Parameters
    ----------
    shop : Shop
    actor : Actor
        The lead.
    person : Person
    drilled : collection of str
        Signs for which the Drill has cards.
    seed : int
        Of the draw.
    at : datetime
        Now.

    Raises
    ------
    ReadingError
        If too few signs were misread to compare any.
    """
    mine = [one for one in read_twice(shop) if one.reader == person.name]
    dear = [x.signal.id for x in costs_by_sign(mine) if x.signal.id in drilled and x.money > 0]
    if len(dear) < 2 * AT_ONCE:
        raise ReadingError(
            f"fewer than {2 * AT_ONCE} of {person.name}'s signs cost anything so far",
            where="Does drilling help",
            remedy="read more of their things again first",
        )
    order = np.random.default_rng(seed).permutation(dear[:MOST]).tolist()
    today = at.astimezone().date()
    starts = {sign: today + EVERY * (place // AT_ONCE) for place, sign in enumerate(order)}
    with transaction(shop.records, actor, at) as work:
        add_introduction(work.session, Introduction(person.id, starts, actor.name, at))
        work.log("stated an order of drilling", person.name, signs=order)
