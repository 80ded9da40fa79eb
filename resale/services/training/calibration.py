"""Leads against leads: every quarter the same ten things, read blind, and where they part."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import combinations

import numpy as np

from resale.errors import ReadingError
from resale.garments.rulebook.overlay import RuleChange
from resale.garments.rulebook.readings import option_code
from resale.garments.rulebook.signals import Signal
from resale.services.actor import Actor
from resale.services.prices.change_rules import change_rules
from resale.services.shop import Shop
from resale.services.training.read_twice import known, leads_of
from resale.services.transaction import transaction
from resale.storage.items.item_pages import items_page
from resale.storage.items.readers import has_read, readers
from resale.storage.models.rule_changes import changes_of, newest_change
from resale.storage.people.calibration import add_calibration, calibrations
from resale.storage.people.second_looks import SavedLook, looks
from resale.training.agreement.comparison import Told
from resale.training.agreement.doubt_feedback import DoubtSuggestion, suggest_doubt
from resale.training.agreement.kappa import Array, cross_table
from resale.training.practice.whole_item import compare

PARTED = "Leads parted on"
TEN, FEWEST_SIGNS, CONSIDERED = 10, 8, 500
FEWEST_LEADS = 2


@dataclass(frozen=True, slots=True)
class Thing:
    """One of a quarter's things.

    Attributes
    ----------
    readers : tuple of str
        Leads who have read it.
    apart : int
        Minor units between the lowest and the highest price of their readings.
    signs : tuple of str
        Names of the signs on which they part.
    """

    number: str
    kind: str
    readers: tuple[str, ...]
    apart: int
    signs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Round:
    """A quarter, and what all quarters so far say of the rule book.

    Attributes
    ----------
    things : tuple of Thing
        Empty while nothing was drawn.
    doubts : tuple of DoubtSuggestion
        Signs on which leads part, those that lose most of their worth first.
    grown : frozenset of str
        Signs whose doubt grew this quarter already.
    """

    quarter: str
    leads: tuple[str, ...]
    things: tuple[Thing, ...]
    doubts: tuple[DoubtSuggestion, ...]
    grown: frozenset[str]


def quarter_of(day: date) -> str:
    """Name of the quarter of a day.

    Examples
    --------
    >>> quarter_of(date(2026, 11, 3))
    '2026-Q4'
    """
    return f"{day.year}-Q{(day.month + 2) // 3}"


def round_of(shop: Shop) -> Round:
    """Give the quarter's things, and where leads have parted so far."""
    drawn, leads = calibrations(shop.records), leads_of(shop)
    quarter = quarter_of(shop.here().date())
    every = {number for numbers in drawn.values() for number in numbers}
    by_thing: dict[str, dict[str, SavedLook]] = defaultdict(dict)
    for one in looks(shop.records) if every else ():
        if one.number in every and one.person in leads and not one.first:
            by_thing[one.number].setdefault(one.person, one)
    things = tuple(_thing(shop, number, by_thing[number]) for number in drawn.get(quarter, ()))
    grown = frozenset(
        one.signal
        for one in changes_of(shop.records)
        if one.why.startswith(PARTED) and quarter_of(one.when) == quarter
    )
    return Round(quarter, tuple(sorted(leads)), things, _doubts(shop, by_thing), grown)


def _thing(shop: Shop, number: str, read: Mapping[str, SavedLook]) -> Thing:
    told = [one for one in read.values() if one.kind in shop.book.kinds]
    if not told:
        return Thing(number, "", tuple(read), 0, ())
    kind = shop.valued_kind(told[0].kind)
    apart, signs = 0, dict[str, None]()
    for one, other in combinations(told, 2):
        both = [Told(known(kind, each.choices)) for each in (one, other)]
        found = compare(shop.valuer, kind.id, *both)
        apart = max(apart, abs(found.money))
        signs |= dict.fromkeys(each.signal.name for each in found.differences)
    return Thing(number, kind.text.name, tuple(read), apart, tuple(signs))


def _doubts(
    shop: Shop, by_thing: Mapping[str, Mapping[str, SavedLook]]
) -> tuple[DoubtSuggestion, ...]:
    """What leads who part do to the worth of each sign; neither is taken for right."""
    tables: dict[str, Array] = {}
    signals: dict[str, Signal] = {}
    for read in by_thing.values():
        for one, other in combinations(read.values(), 2):
            kind = shop.book.kinds.get(one.kind)
            if kind is None:
                continue
            first, second = known(kind, one.choices), known(kind, other.choices)
            for sign in first.keys() & second.keys():
                codes = [[option_code(kind, sign, said[sign])] for said in (first, second)]
                table = cross_table(codes[0], codes[1], len(kind.by_id[sign].options))
                signals.setdefault(sign, kind.by_id[sign])
                tables[sign] = tables.get(sign, np.zeros_like(table)) + (table + table.T) / 2
    found = [suggest_doubt(signals[sign], table) for sign, table in tables.items()]
    return tuple(sorted((one for one in found if one.misread), key=lambda one: one.attenuation))


def draw_ten(shop: Shop, actor: Actor, seed: int, at: datetime) -> None:
    """Draw this quarter's things: well looked at, and by preference read by no lead yet.

    Parameters
    ----------
    shop : Shop
    actor : Actor
        The lead who draws.
    seed : int
        Of the draw.
    at : datetime
        Now.

    Raises
    ------
    ReadingError
        If nothing of which enough was looked at is here.
    """
    lines = items_page(shop.records, per_page=CONSIDERED).lines
    numbers = [one.number for one in lines if one.valued.looked >= FEWEST_SIGNS]
    if not numbers:
        raise ReadingError(
            f"no item of which {FEWEST_SIGNS} signs or more were looked at is here",
            where="Leads against leads",
            remedy="value a few things on the Bench first",
        )
    by, leads = readers(shop.records, numbers), leads_of(shop)
    drawn = np.random.default_rng(seed).permutation(numbers).tolist()
    drawn.sort(key=lambda number: any(has_read(by, number, name) for name in leads))
    quarter = quarter_of(at.astimezone().date())
    with transaction(shop.records, actor, at) as work:
        add_calibration(work.session, quarter, tuple(drawn[:TEN]), actor.name, work.at)
        work.log("drew the things that leads read", quarter)


def grow_doubt(shop: Shop, actor: Actor, sign: str, at: datetime) -> None:
    """Let the rule book's doubt of a sign grow by what leads part on.

    Parameters
    ----------
    shop : Shop
    actor : Actor
        The lead.
    sign : str
        Id of the sign.
    at : datetime
        Now.

    Raises
    ------
    ReadingError
        If leads were not seen to part on it often enough.
    """
    now = round_of(shop)
    asked = (one for one in now.doubts if one.signal.id == sign and sign not in now.grown)
    found = next(asked, None)
    changes = _changes(shop, found, actor.name, at.date()) if found and found.enough else []
    if not changes:
        raise ReadingError(
            "too little was read by two leads to change a doubt of this sign, or it grew already",
            where="Leads against leads",
            remedy="read another quarter's things first",
        )
    change_rules(shop, actor, changes, newest_change(shop.records), at)


def _changes(shop: Shop, found: DoubtSuggestion, who: str, day: date) -> Sequence[RuleChange]:
    """A doubt for each option, for every kind that has the sign; a finding has one for all."""
    signal = found.signal
    options = signal.option_ids[:1] if signal.shape == "finding" else signal.option_ids
    extra = max(found.extra_by_option) if signal.shape == "finding" else None
    why = f"{PARTED} {found.misread} of {found.checked} readings of the same things."
    rows = []
    for place, option in enumerate(options):
        own = signal.options[place].doubt
        new = float(np.hypot(own, extra)) if extra is not None else found.doubt(option)
        if new > own + 5e-4:
            rows.append(
                RuleChange(
                    kind="*",
                    signal=signal.id,
                    option=option,
                    field="doubt",
                    value=round(new, 4),
                    who=who,
                    when=day,
                    why=why,
                )
            )
    return rows
