"""Signs that were read twice: as somebody read them, and as it was settled."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from resale.services.shop import Shop
from resale.services.training.read_twice import leads_of, readings_of
from resale.storage.items.readers import readers
from resale.storage.people.drill_store import SavedAnswer
from resale.storage.people.second_looks import SavedLook, looks
from resale.storage.training.set_right import (
    SetRight,
    set_right_in_practice,
    set_right_on_bench,
)
from resale.training.oversight.settled import Reading, settled_for
from resale.training.stake.misread import Reading as Told

LOOKED_BACK = timedelta(days=120)
ANOTHER = "another"
"""Stands for a number that was wrong: which one says nothing of a mix-up."""


@dataclass(frozen=True, slots=True)
class SignRead:
    """One sign of one thing: who read it, how, what was settled, and when."""

    person: str
    sign: str
    read: str
    true: str
    at: datetime


def signs_read(shop: Shop, now: datetime) -> tuple[SignRead, ...]:
    """Gather every sign that somebody read and that others settled, whoever came first.

    Parameters
    ----------
    shop : Shop
    now : datetime
        What is older than `LOOKED_BACK` is left out.

    Notes
    -----
    From second looks, by `settled_for`, as what a person costs is; from whole items read for
    practice, and from items that somebody saved again, where one of the two is a lead: elsewhere
    nobody knows who is right. Signs that are open say nothing.
    """
    since = now - LOOKED_BACK
    leads = frozenset(one.casefold() for one in leads_of(shop))
    pairs = (
        *set_right_in_practice(shop.records, since),
        *set_right_on_bench(shop.records, since),
    )
    return (*_second_looks(shop, since), *(one for pair in pairs for one in _of_two(pair, leads)))


def readings_for(
    person: str, read: tuple[SignRead, ...], answers: tuple[SavedAnswer, ...], now: datetime
) -> list[Told]:
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
        Told(one.sign, one.read, one.true, one.person.casefold() == mine, _days(now, one.at))
        for one in read
    ]
    for one in answers:
        said = one.truth if one.right else one.answer if one.answer != one.truth else ANOTHER
        days = _days(now, one.made_at)
        found += [Told(sign, said, one.truth, True, days, True) for sign in one.signal_ids]
    return found


def _second_looks(shop: Shop, since: datetime) -> Iterator[SignRead]:
    """Things read again, each reading as everything else that tells of second looks judges it."""
    by, leads = readers(shop.records), leads_of(shop)
    things: dict[str, list[SavedLook]] = {}
    for look in looks(shop.records, since=since):
        things.setdefault(look.number, []).append(look)
    for looked in things.values():
        yield from _by_sign(readings_of(looked, by, leads), looked[0].made_at)


def _of_two(pair: SetRight, leads: frozenset[str]) -> Iterator[SignRead]:
    """Two readings one after the other: whoever saves again saw the first, so a lead has to say."""
    two = [
        Reading(name, name.casefold() in leads, choices)
        for name, choices in ((pair.reader, pair.read), (pair.later, pair.set))
    ]
    if sum(one.lead for one in two) == 1 and pair.reader.casefold() != pair.later.casefold():
        yield from _by_sign(two, pair.at)


def _by_sign(readings: Sequence[Reading], at: datetime) -> Iterator[SignRead]:
    for place, one in enumerate(readings):
        settled = settled_for(readings, place)
        if settled is None:
            continue
        others = {s for k, each in enumerate(readings) if k != place for s in each.choices}
        for sign, said in one.choices.items():
            if sign in others and sign not in settled.open:
                yield SignRead(one.person, sign, said, settled.choices[sign], at)


def _days(now: datetime, at: datetime) -> float:
    return max((now - at) / timedelta(days=1), 0.0)
