"""What was read twice in this shop, each thing as each person read it against what was settled."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta

from resale.garments.rulebook.rule_book import Kind
from resale.services.shop import Shop
from resale.storage.items.readers import Readers, reader_then, readers
from resale.storage.people.people import people
from resale.storage.people.second_looks import SavedLook, looks
from resale.storage.training.not_looked import NOTHING, Left, NotLooked, left_then, not_looked
from resale.training.agreement.comparison import Told
from resale.training.oversight.read_again import ReadAgain
from resale.training.oversight.settled import Reading, settle, settled_for
from resale.training.practice.whole_item import compare

_MEMORY = "read again"


def leads_of(shop: Shop) -> frozenset[str]:
    """Names of all whose reading is taken for what is there: leads, and the owner."""
    return frozenset(one.name for one in people(shop.records) if one.may("lead"))


def looked_back_to(shop: Shop) -> datetime:
    """From when second looks are told, so that what was learned shows."""
    return shop.now() - timedelta(days=shop.settings.looked_back)


def known(kind: Kind, choices: Mapping[str, str]) -> dict[str, str]:
    """Keep the answers that the rule book of today still has.

    Parameters
    ----------
    kind : Kind
        As the rule book of today has it.
    choices : mapping of str to str
        Option by signal, as they were stored.
    """
    return {
        signal: option
        for signal, option in choices.items()
        if signal in kind.by_id and option in kind.by_id[signal].option_ids
    }


def read_twice(shop: Shop, since: datetime | None = None) -> tuple[ReadAgain, ...]:
    """Set each reading of things that several read against what was settled.

    Parameters
    ----------
    shop : Shop
        For the records, and for the prices that turn a sign into money.
    since : datetime, optional
        Only second looks from then on; those of the shop's stated time where omitted.

    Returns
    -------
    tuple of ReadAgain
        In the order in which they were read again. Nobody is judged by a later reading of their
        own, nor whoever looked second by a first reading that no third has settled.
    """
    many = looks(shop.records, since=since or looked_back_to(shop))
    by, leads, left = readers(shop.records), leads_of(shop), not_looked(shop.records)
    things: dict[str, list[SavedLook]] = {}
    for one in many:
        if one.kind in shop.book.kinds:
            things.setdefault(one.number, []).append(one)
    found = [
        again
        for number, looked in things.items()
        for again in _one_thing(shop, looked, readings_of(looked, by, leads), left)
    ]
    return tuple(sorted(found, key=lambda one: one.at))


def readings_of(
    looked: Sequence[SavedLook], by: Readers, leads: frozenset[str]
) -> tuple[Reading, ...]:
    """All readings of one thing, the first one at the bench, each person once.

    Parameters
    ----------
    looked : sequence of SavedLook
        Second looks at one thing, the oldest first.
    by : Readers
        Who read it at the bench.
    leads : frozenset of str
        Whose readings are a lead's.
    """
    found: dict[str, Reading] = {}
    start = looked[0]
    if start.first:
        name = reader_then(by, start.number, start.made_at)
        found[name] = Reading(name, name in leads, start.first)
    for one in looked:
        found.setdefault(one.person, Reading(one.person, one.person in leads, one.choices))
    return tuple(found.values())


def first_readings(shop: Shop, day: date) -> dict[str, ReadAgain]:
    """The first readings of a day's sample against what second and third looks settled.

    Parameters
    ----------
    shop : Shop
    day : date
        Of the sample.

    Returns
    -------
    dict of str to ReadAgain
        By number. A lead's own first reading is set against the others like anybody's: here it is
        no judge of itself.
    """
    things: dict[str, list[SavedLook]] = {}
    for one in looks(shop.records, day):
        if one.kind in shop.book.kinds and one.first:
            things.setdefault(one.number, []).append(one)
    by, leads, left = readers(shop.records, things), leads_of(shop), not_looked(shop.records)
    return {
        number: _judged(shop, looked, readings_of(looked, by, leads), 0, _left(looked, left))
        for number, looked in things.items()
    }


def _one_thing(
    shop: Shop, looked: Sequence[SavedLook], readings: Sequence[Reading], left: Left
) -> list[ReadAgain]:
    # Only the bench takes an answer as usual: the first reading, where there was one there.
    bench = _left(looked, left)
    return [
        _judged(shop, looked, readings, place, bench if place == 0 and looked[0].first else NOTHING)
        for place in range(len(readings))
        if settled_for(readings, place)
    ]


def _judged(
    shop: Shop,
    looked: Sequence[SavedLook],
    readings: Sequence[Reading],
    place: int,
    left: NotLooked,
) -> ReadAgain:
    """Set one of the readings of a thing against what all of them come to."""
    first, reader = looked[0], readings[place].person
    kind = shop.valued_kind(first.kind)
    plain = [
        Reading(one.person, one.lead and one.person != reader, known(kind, one.choices))
        for one in readings
    ]
    settled = settle(plain)
    kept = shop.memory.setdefault(_MEMORY, {})
    who = tuple((one.person, one.lead) for one in plain)
    key = (first.number, first.made_at, place, who)
    if key not in kept:
        told = Told(plain[place].choices), Told(settled.choices)
        kept[key] = compare(shop.valuer, kind.id, *told)
    beyond = shop.settings.misread_beyond
    usual = {
        sign: kind.by_id[sign].option(option).name
        for sign, option in known(kind, left.usual).items()
    }
    return ReadAgain(
        first.number,
        kind.id,
        reader,
        first.made_at,
        settled,
        kept[key],
        beyond,
        usual,
        left.untold,
    )


def _left(looked: Sequence[SavedLook], left: Left) -> NotLooked:
    return left_then(left, looked[0].number, looked[0].made_at)
