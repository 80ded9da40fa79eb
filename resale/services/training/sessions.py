"""Choosing a session for one person: what it is about, and why each card is in it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from random import SystemRandom

from resale.services.shop import Shop
from resale.services.training.at_stake import because, stakes_for
from resale.services.training.set_right import signs_read
from resale.storage.people.drill_store import progress_of
from resale.storage.people.introductions import introduction_of
from resale.storage.people.people import Person
from resale.training.practice.by_stake import CARDS, choose_by_stake
from resale.training.practice.cards import card_drills
from resale.training.practice.drawn_drills import drawn_drills
from resale.training.practice.schedule import Drill
from resale.training.practice.session import Planned
from resale.training.stake.stakes import Stake

WORDS = {
    "pair": "You took one of these for the other, so the two come back side by side.",
    "due": "You have met this before; it is time to see whether it is still there.",
    "new": "You have not met this yet.",
    "again": "One more of what this session is about.",
}


def choose_for(
    shop: Shop,
    person: Person,
    drills: Sequence[Drill],
    now: datetime,
    *,
    cards: int = CARDS,
    about: Sequence[str] = (),
    kinds: tuple[str, ...] = (),
    reason: str = "",
) -> tuple[Planned, ...]:
    """Choose a session by what misreading costs this shop when this person reads.

    Parameters
    ----------
    shop : Shop
    person : Person
    drills : sequence of Drill
        All that can be practised.
    now : datetime
    cards : int
        Exactly so many.
    about : sequence of str
        Signs that it is about, before all others.
    kinds : tuple of str
        Kinds that it is about; all that the shop meets where empty.
    reason : str
        Why it is about those signs, in a sentence.

    Returns
    -------
    tuple of Planned
        Each with the reason for which it was chosen.
    """
    stakes = stakes_for(shop, person, now, kinds)
    progress = progress_of(shop.records, person.id)
    # An order that was stated holds in a course too, else nobody could say what drilling did.
    stated = introduction_of(shop.records, person.id)
    later = stated.held_back(now.date()) if stated else frozenset()
    begun = [one for one in drills if not later.intersection(one.signal_ids)]
    first = [sign for sign in about if sign not in later]
    chosen = choose_by_stake(
        begun, progress, now, SystemRandom(), stakes, places=cards, first=first
    )
    return tuple(_with_reason(shop, one, stakes, reason) for one in chosen)


def misread_today(shop: Shop, person: Person, now: datetime) -> tuple[str, ...]:
    """Signs that somebody read otherwise than a lead on things set right today, worst first.

    Parameters
    ----------
    shop : Shop
    person : Person
    now : datetime
        In the shop's zone: its day is today.
    """
    mine = person.name.casefold()
    wrong = [
        one.sign
        for one in signs_read(shop, now)
        if one.person.casefold() == mine
        and one.read != one.true
        and one.at.astimezone(now.tzinfo).date() == now.date()
    ]
    can = practised_signs(shop)
    found = {one for one in wrong if one in can}
    return tuple(sorted(found, key=lambda one: (-wrong.count(one), one)))


def practised_signs(shop: Shop) -> Collection[str]:
    """Signs of the shop's rule book that some drill trains."""
    known = set(shop.book.signal_ids)
    drills = (*drawn_drills(), *card_drills(shop.book))
    return {sign for drill in drills for sign in drill.signal_ids if sign in known}


def _with_reason(shop: Shop, one: Planned, stakes: Mapping[str, Stake], reason: str) -> Planned:
    stake = stakes.get(one.sign)
    said = [WORDS[one.why]] if one.why in WORDS else []
    if one.why == "course" and reason:
        said.append(reason)
    if stake and one.why in {"new", "safety", "stake", "course"}:
        said.append(because(shop, stake))
    return replace(one, because=" ".join(said))
