"""Which of a day's items get a blind second look, and what passing means: ISO 2859-1.

A day's intake is the lot. Some of its items, chosen by lot, are read a second time by somebody
who does not see the first reading. An item counts as misread where the two readings differ by
more than the shop allows. At or below the acceptance number the day passes; above it, the rest of
the day is looked at too.
"""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal, TypeVar

import numpy as np
import scipy

from resale.errors import SettingError

T = TypeVar("T")
Inspection = Literal["normal", "tightened", "reduced"]

_TABLE = Path(__file__).with_name("sampling_plans.toml")
LETTERS_LOWER = 2
"""Code letters by which the reduced sample is smaller."""

_SHARES = (2, 3, 4, 5, 10, 20, 50, 100)
NOT_A_PROMISE = (
    "The quality level is how the plan is named, not a promise about one day: it says which "
    "days nearly always pass."
)


@dataclass(frozen=True, slots=True)
class Plan:
    """How many items of a lot to look at again, and how many misread ones let it pass.

    Attributes
    ----------
    lot : int
        Items of the day.
    aql : float
        Acceptable quality level: percent misread of days that nearly always pass.
    letter : str
        Code letter of the lot's size; the plan's own letter differs where an arrow was followed.
    sample : int
        Items to look at; the whole lot where the plan asks for at least as many.
    accept, reject : int
        The day passes with at most `accept` misread, fails from `reject` on.
    how : 'normal', 'tightened' or 'reduced'
    """

    lot: int
    aql: float
    letter: str
    sample: int
    accept: int
    how: Inspection = "normal"

    @property
    def reject(self) -> int:
        """Misread items from which on the day fails."""
        return self.accept + 1

    @property
    def check_all(self) -> bool:
        """Whether every item is looked at again."""
        return self.sample == self.lot

    def passes(self, misread: int) -> bool:
        """Whether the day passes with so many misread items in the sample."""
        return misread <= self.accept

    @property
    def sentence(self) -> str:
        """What to do, in words."""
        if self.lot == 1:
            look = "Look again at the one item"
        elif self.check_all:
            look = f"Look again at all {self.lot} items"
        else:
            look = f"Look again at {self.sample} of {self.lot} items"
        few = f"with at most {self.accept}" if self.accept else "only if none is"
        return f"{look}; the day passes {few} misread."


def quality_levels() -> tuple[float, ...]:
    """Acceptable quality levels of the table, in percent, strictest first."""
    return tuple(_table()["aqls"])


def source() -> str:
    """Where the table comes from, with its status."""
    return f"{_table()['source']}; {_table()['status']}"


def sampling_plan(lot: int, aql: float, how: Inspection = "normal") -> Plan:
    """Find the plan for a day's intake.

    Parameters
    ----------
    lot : int
        Items of the day, 1 to 10,000.
    aql : float
        One of `quality_levels`.
    how : 'normal', 'tightened' or 'reduced'
        The reduced plan is the normal one of two code letters lower: the sample sizes are those
        of the standard's reduced table, and no more may be misread than under its normal one.

    Returns
    -------
    Plan

    Raises
    ------
    SettingError
        For a lot or a level that the table does not have.

    Examples
    --------
    >>> sampling_plan(200, 2.5).sentence
    'Look again at 32 of 200 items; the day passes with at most 2 misread.'
    """
    table = _table()
    if aql not in table["aqls"]:
        raise SettingError(
            f"the table has no quality level {aql:g}",
            where="cross-check",
            remedy=f"use one of {', '.join(format(level, 'g') for level in table['aqls'])}",
        )
    if lot == 1:
        return Plan(1, aql, table["lots"][0]["letter"], 1, 0, how)
    rows, column = table["lots"], table["aqls"].index(aql)
    for place, row in enumerate(rows):
        if row["from"] <= lot <= row["to"]:
            kept = rows[max(place - LETTERS_LOWER, 0)] if how == "reduced" else row
            sample, accept = kept["tightened" if how == "tightened" else "plans"][column]
            return Plan(lot, aql, kept["letter"], min(sample, lot), accept, how)
    raise SettingError(
        f"a day of {lot} items is outside the table",
        where="cross-check",
        remedy=f"use 1 to {rows[-1]['to']}; split a larger intake by sorter or by hour",
    )


def stricter(plan: Plan) -> Plan | None:
    """The same day's plan one quality level stricter; None at the strictest.

    The switching score asks whether a day would have passed it.
    """
    levels = quality_levels()
    place = levels.index(plan.aql)
    return sampling_plan(plan.lot, levels[place - 1], plan.how) if place else None


def choose(items: Sequence[T], plan: Plan, random: np.random.Generator) -> tuple[T, ...]:
    """Draw the items for the second look, each as likely as any other.

    Parameters
    ----------
    items : sequence
        The day's items; as many as `plan.lot`.
    random : Generator
        Keep its seed with the day, and the draw can be done again before anybody's eyes.

    Returns
    -------
    tuple
        In a random order, so that the place in the list tells nothing.

    Raises
    ------
    ValueError
        If there are not as many items as the plan is for.
    """
    if len(items) != plan.lot:
        raise ValueError(f"the plan is for {plan.lot} items, not for {len(items)}")
    drawn = random.choice(len(items), size=plan.sample, replace=False)
    return tuple(items[int(place)] for place in drawn)


def chance_of_passing(plan: Plan, misread: float) -> float:
    """Chance that a sample from a steady stream with this share misread passes: binomial.

    Parameters
    ----------
    misread : float, 0 to 1
        Share of items misread.

    Examples
    --------
    >>> round(chance_of_passing(sampling_plan(800, 2.5), 0.05), 4)
    0.7892
    """
    return float(scipy.stats.binom.cdf(plan.accept, plan.sample, misread))


def chance_of_passing_a_lot(plan: Plan, misread: int) -> float:
    """Chance that a day with exactly so many misread items passes: hypergeometric.

    Parameters
    ----------
    misread : int
        Misread items among all of the day's.
    """
    return float(scipy.stats.hypergeom.cdf(plan.accept, plan.lot, misread, plan.sample))


def left_misread(plan: Plan, misread: float) -> float:
    """Share still misread afterwards, where found ones are mended and failed days looked through.

    Parameters
    ----------
    misread : float, 0 to 1
        Share of items misread before.

    Returns
    -------
    float
        Average over many days (average outgoing quality, all misread items replaced).
    """
    return misread * chance_of_passing(plan, misread) * (1 - plan.sample / plan.lot)


def what_it_means(plan: Plan, misread: float) -> str:
    """Say what the plan would make of days with this share misread.

    Parameters
    ----------
    plan : Plan
    misread : float
        Share of the day that is misread, from 0 to 1.

    Examples
    --------
    >>> what_it_means(sampling_plan(800, 2.5), 0.05)[:51]
    'A day with 5 % misread would pass 4 times out of 5.'
    """
    wrong = round(misread * plan.lot)
    chance = chance_of_passing_a_lot(plan, wrong)
    first = f"A day with {100 * misread:g} % misread would pass {times_of(chance)}."
    if plan.check_all:
        return f"{first} Every item is looked at again, so none stays misread."
    left = 100 * left_misread(plan, misread)
    return (
        f"{first} If failed days are looked through and what is found is mended, about "
        f"{left:.1f} % of items stay misread."
    )


def times_of(chance: float) -> str:
    """Put a chance as a small fraction: '4 times out of 5'.

    Examples
    --------
    >>> times_of(0.789), times_of(0.9998), times_of(0.001)
    ('4 times out of 5', 'nearly always', 'hardly ever')
    """
    if chance >= 0.995:
        return "nearly always" if chance < 1 else "always"
    if chance <= 0.005:
        return "hardly ever" if chance > 0 else "never"
    for whole in _SHARES:
        part = round(chance * whole)
        if 0 < part < whole and abs(part / whole - chance) <= 0.02 * min(1, 4 * chance):
            break
    else:
        part = max(1, round(chance * whole))
    return f"{part} time{'s' if part > 1 else ''} out of {whole}"


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads(_TABLE.read_text(encoding="utf-8"))
