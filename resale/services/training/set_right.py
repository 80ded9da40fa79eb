"""Signs that were read twice: as somebody read them, and as a lead did."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from resale.services.shop import Shop
from resale.storage.items.readers import reader_then, readers
from resale.storage.people.drill_store import SavedAnswer
from resale.storage.people.people import people
from resale.storage.people.second_looks import looks
from resale.storage.training.set_right import (
    SetRight,
    set_right_in_practice,
    set_right_on_bench,
)
from resale.training.stake.misread import Reading

LOOKED_BACK = timedelta(days=120)
ANOTHER = "another"
"""Stands for a number that was wrong: which one says nothing of a mix-up."""


@dataclass(frozen=True, slots=True)
class SignRead:
    """One sign of one thing: who read it, how, what a lead read, and when that was known."""

    person: str
    sign: str
    read: str
    true: str
    at: datetime


def signs_read(shop: Shop, now: datetime) -> tuple[SignRead, ...]:
    """Gather every sign that somebody read and a lead read too, whoever came first.

    Parameters
    ----------
    shop : Shop
    now : datetime
        What is older than `LOOKED_BACK` is left out.

    Notes
    -----
    From second looks, from whole items read for practice, and from items that a lead saved again.
    Where neither of the two is a lead nobody knows who is right, and nothing is said.
    """
    since = now - LOOKED_BACK
    leads = {one.name.casefold() for one in people(shop.records) if one.may("lead")}
    many = (
        *_second_looks(shop, since),
        *set_right_in_practice(shop.records, since),
        *set_right_on_bench(shop.records, since),
    )
    return tuple(one for pair in many for one in _by_sign(pair, leads))


def readings_for(
    person: str, read: tuple[SignRead, ...], answers: tuple[SavedAnswer, ...], now: datetime
) -> list[Reading]:
    """Turn what is known into what it says of one person.

    Parameters
    ----------
    person : str
    read : tuple of SignRead
        Of everybody.
    answers : tuple of SavedAnswer
        Of this person at the Drill, the oldest first.
    now : datetime
    """
    mine = person.casefold()
    found = [
        Reading(one.sign, one.read, one.true, one.person.casefold() == mine, _days(now, one.at))
        for one in read
    ]
    for one in answers:
        said = one.truth if one.right else one.answer if one.answer != one.truth else ANOTHER
        days = _days(now, one.made_at)
        found += [Reading(sign, said, one.truth, True, days, True) for sign in one.signal_ids]
    return found


def _second_looks(shop: Shop, since: datetime) -> Iterator[SetRight]:
    by = readers(shop.records)
    for look in looks(shop.records):
        if look.made_at >= since:
            first = reader_then(by, look.number, look.made_at)
            yield SetRight(first, look.person, look.first, look.choices, look.made_at)


def _by_sign(pair: SetRight, leads: set[str]) -> Iterator[SignRead]:
    first_leads, later_leads = (name.casefold() in leads for name in (pair.reader, pair.later))
    if pair.reader.casefold() == pair.later.casefold():
        return
    if later_leads and not first_leads:
        person, read, true = pair.reader, pair.read, pair.set
    elif first_leads and not later_leads:
        person, read, true = pair.later, pair.set, pair.read
    else:
        return
    if person:
        for sign in read.keys() & true.keys():
            yield SignRead(person, sign, read[sign], true[sign], pair.at)


def _days(now: datetime, at: datetime) -> float:
    return max((now - at) / timedelta(days=1), 0.0)
