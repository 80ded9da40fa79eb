"""A course: signs by day, cards a session, and from when a sign counts as known."""

from __future__ import annotations

import tomllib
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

from resale.errors import ReadingError
from resale.training.stake.stakes import Stake

_FILE = Path(__file__).with_name("first_week.toml")

PACES: Mapping[int, str] = {
    9: "Short: 9 cards, about three minutes",
    15: "Steady: 15 cards, about five minutes",
    24: "Long: 24 cards, about eight minutes",
}
GOALS: Mapping[int, str] = {
    70: "70 of 100 right: enough to work beside somebody",
    80: "80 of 100 right: the usual goal",
    90: "90 of 100 right: for whoever will train others",
}
USUAL_PACE, USUAL_GOAL, USUAL_DAYS = 15, 80, 5
MOST_DAYS, MOST_SIGNS = 20, 60
SESSIONS_A_DAY = 2
FEWEST, COUNTED = 4, 8
"""Answers to a sign below which nothing is said, and how many of the last ones count."""


@dataclass(frozen=True, slots=True)
class Day:
    """One day of a course: what it is about, and the signs that are new on it."""

    title: str
    signs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Course:
    """What somebody is to learn.

    Attributes
    ----------
    kinds : tuple of str
        Kinds that it is about; empty for all that the shop meets.
    cards : int
        Of one session.
    goal : int
        Of a hundred answers to a sign, how many are right once it counts as known.
    """

    name: str
    kinds: tuple[str, ...]
    days: tuple[Day, ...]
    cards: int
    goal: int

    @property
    def signs(self) -> tuple[str, ...]:
        """All its signs, in the order in which they come."""
        return tuple(dict.fromkeys(sign for day in self.days for sign in day.signs))

    def as_plain(self) -> dict[str, Any]:
        """Plain values that JSON can hold."""
        return {
            "kinds": list(self.kinds),
            "days": [{"title": day.title, "signs": list(day.signs)} for day in self.days],
            "cards": self.cards,
            "goal": self.goal,
        }

    @classmethod
    def from_plain(cls, name: str, plain: Mapping[str, Any]) -> Course:
        """Read what `as_plain` gave.

        Parameters
        ----------
        name : str
        plain : mapping
        """
        days = tuple(Day(one["title"], tuple(one["signs"])) for one in plain["days"])
        return cls(name, tuple(plain["kinds"]), days, plain["cards"], plain["goal"])


@dataclass(frozen=True, slots=True)
class SignStanding:
    """How far somebody is with one sign of a course.

    Attributes
    ----------
    answered, right : int
        Of the last `COUNTED` answers.
    known : bool
        Whether the goal is reached.
    """

    sign: str
    day: int
    answered: int
    right: int
    known: bool

    @property
    def word(self) -> str:
        """Say it in a word or two."""
        if not self.answered:
            return "not met yet"
        if self.known:
            return "known"
        return "coming" if self.answered < FEWEST else "not yet"


@cache
def first_week() -> Course:
    """The course that is shipped."""
    text = tomllib.loads(_FILE.read_text("utf-8"))
    days = tuple(Day(one["title"], tuple(one["signs"])) for one in text["day"])
    return Course(text["name"], (), days, USUAL_PACE, USUAL_GOAL)


def only(course: Course, signs: Collection[str]) -> Course:
    """Leave out what a shop has not; days that are left with nothing go.

    Parameters
    ----------
    course : Course
    signs : collection of str
        Those that the shop's kinds have and that can be practised.
    """
    days = [Day(day.title, tuple(one for one in day.signs if one in signs)) for day in course.days]
    kept = tuple(day for day in days if day.signs)
    return Course(course.name, course.kinds, kept, course.cards, course.goal)


def laid_out(
    name: str, signs: Sequence[str], *, kinds: Sequence[str], days: int, cards: int, goal: int
) -> Course:
    """Lay signs out over days, the first ones first.

    Parameters
    ----------
    name : str
    signs : sequence of str
        In the order in which they are to be learned.
    kinds : sequence of str
    days, cards, goal : int

    Returns
    -------
    Course

    Raises
    ------
    ReadingError
        If something is missing or out of range.
    """
    wanted = tuple(dict.fromkeys(signs))
    plain = " ".join(name.split())[:60]
    if not plain:
        raise ReadingError("the course has no name", remedy="write one, such as First week")
    if not wanted:
        raise ReadingError("no sign was chosen", remedy="tick what is to be learned")
    if len(wanted) > MOST_SIGNS:
        raise ReadingError(f"{len(wanted)} signs are too many", remedy=f"at most {MOST_SIGNS}")
    if not 1 <= days <= MOST_DAYS:
        raise ReadingError(f"{days} days cannot be", remedy=f"write 1 to {MOST_DAYS}")
    if cards not in PACES or goal not in GOALS:
        raise ReadingError("no such pace or goal", remedy="choose one of those that are offered")
    days = min(days, len(wanted))
    ends = [round(len(wanted) * k / days) for k in range(days + 1)]
    parts = [wanted[a:b] for a, b in pairwise(ends)]
    return Course(plain, tuple(kinds), tuple(Day("", part) for part in parts), cards, goal)


def dearest(stakes: Iterable[Stake], practised: Collection[str], most: int) -> tuple[str, ...]:
    """Signs that cost a shop most and can be practised, the dearest first.

    Parameters
    ----------
    stakes : iterable of Stake
        The dearest first.
    practised : collection of str
        Signs that some drill trains.
    most : int
    """
    return tuple(one.sign for one in stakes if one.sign in practised and one.weight > 0)[:most]


def day_of(course: Course, trained_on: Collection[date], today: date) -> int:
    """Which day of a course somebody is on, from 1: days on which nothing was done do not count.

    Parameters
    ----------
    course : Course
    trained_on : collection of date
        Days since the start on which a card was answered.
    today : date
    """
    before = len({day for day in trained_on if day < today})
    return min(before + 1, len(course.days))


def signs_of_day(
    course: Course, day: int, standings: Mapping[str, SignStanding]
) -> tuple[str, ...]:
    """Signs of a session on that day: its own, then those of days before that are not known yet.

    Parameters
    ----------
    course : Course
    day : int
        From 1.
    standings : mapping of sign to SignStanding
    """
    own = course.days[day - 1].signs
    before = (sign for one in course.days[: day - 1] for sign in one.signs)
    open_yet = [sign for sign in before if not standings[sign].known]
    return tuple(dict.fromkeys((*own, *open_yet)))


def standings_in(course: Course, answers: Iterable[tuple[str, bool]]) -> dict[str, SignStanding]:
    """How far somebody is with each sign.

    Parameters
    ----------
    course : Course
    answers : iterable of (sign, right)
        All since the start, the oldest first.

    Returns
    -------
    dict of sign to SignStanding
    """
    given: dict[str, list[bool]] = {sign: [] for sign in course.signs}
    for sign, right in answers:
        if sign in given:
            given[sign].append(right)
    day_by = {sign: n for n, day in enumerate(course.days, start=1) for sign in day.signs}
    found = {}
    for sign, every in given.items():
        last = every[-COUNTED:]
        known = len(last) >= FEWEST and 100 * sum(last) >= course.goal * len(last)
        found[sign] = SignStanding(sign, day_by[sign], len(last), sum(last), known)
    return found
