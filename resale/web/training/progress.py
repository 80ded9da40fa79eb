"""How far somebody is, by zone and by sign, in words and as measured bars."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from resale.garments.rulebook.rule_book import RuleBook
from resale.storage.people.drill_store import SavedAnswer
from resale.training.courses.course import COUNTED
from resale.training.practice.contrasts import BETWEEN
from resale.training.practice.drawn_drills import drawn_drills
from resale.training.practice.photo_cards import photo_drills_met
from resale.training.practice.schedule import Drill, Mastery, Progress, mastery_by
from resale.web.training.cards import all_drills, drill_name, signal_name

SURE, COMING = 0.85, 0.6


@dataclass(frozen=True, slots=True)
class Line:
    """Progress with one zone or one sign; shares in percent."""

    id: str
    name: str
    right: float
    remembered: float
    met: int
    of: int

    @property
    def word(self) -> str:
        """Say it in a word or two."""
        if not self.met:
            return "not met yet"
        share = self.right / 100
        if share >= SURE:
            # One right answer to one of many drills makes nobody sure.
            return "sure" if 2 * self.met >= self.of else "good so far"
        return "coming" if share >= COMING else "look again"


@dataclass(frozen=True, slots=True)
class ComesBack:
    """A drill of a session, and when it comes up again."""

    name: str
    right: bool
    when: str


def by_zone(book: RuleBook, progress: Progress, now: datetime) -> list[Line]:
    """Progress by zone, in the order of the hand.

    Parameters
    ----------
    book : RuleBook
        For zones and the signs of each.
    progress : Progress
        What one person answered so far.
    now : datetime
        What is remembered fades until then.
    """
    found = _mastery(book, progress, now, lambda drill: [drill.zone] if drill.zone else [])
    names = book.zone_names
    return [_line(zone, names[zone], found[zone]) for zone in names if zone in found]


def by_signal(book: RuleBook, answers: Sequence[SavedAnswer]) -> list[Line]:
    """Progress by sign: those met, the weakest first.

    An answer counts for the signs that its exercise trained, not for all that its family can.

    Parameters
    ----------
    book : RuleBook
        For the names of signs.
    answers : sequence of SavedAnswer
        Of one person, the oldest first.
    """
    given: dict[str, list[SavedAnswer]] = {}
    for one in answers:
        for sign in one.signal_ids:
            given.setdefault(sign, []).append(one)
    lines = [_sign_line(book, sign, many) for sign, many in given.items()]
    return sorted(lines, key=lambda line: (line.right, line.name))


def _sign_line(book: RuleBook, sign: str, answers: Sequence[SavedAnswer]) -> Line:
    last = answers[-COUNTED:]
    right = round(100 * sum(one.right for one in last) / len(last), 1)
    met = {one.drill for one in answers if BETWEEN not in one.drill}
    drawn = {drill.key for drill in drawn_drills() if sign in drill.signal_ids}
    return Line(sign, signal_name(book, sign), right, right, max(len(met), 1), len(met | drawn))


def _mastery(
    book: RuleBook,
    progress: Progress,
    now: datetime,
    groups_of: Callable[[Drill], Iterable[str]],
) -> dict[str, Mastery]:
    """Over all drawings and the cards met: the book makes more cards than anybody needs."""
    drawn = drawn_drills()
    met = [d for d in all_drills(book) if d.key in progress.drills and d not in drawn]
    photos = photo_drills_met(book, progress)
    return mastery_by(groups_of, (*drawn, *met, *photos), progress, now)


def _line(line_id: str, name: str, one: Mastery) -> Line:
    right = 100 * one.share_right if one.met else 0.0
    return Line(line_id, name, round(right, 1), round(100 * one.remembered, 1), one.met, one.of)


def met_count(progress: Progress) -> int:
    """How many drills were met; two answers that were mixed up are none by themselves."""
    return sum(BETWEEN not in key for key in progress.drills)


def due_count(progress: Progress, now: datetime) -> int:
    """How many drills are to be met again by now.

    Parameters
    ----------
    progress : Progress
        What one person answered so far.
    now : datetime
        A drill counts that is due by then.
    """
    return sum(one.due <= now for one in progress.drills.values())


def comes_back(
    book: RuleBook,
    plan: Sequence[Drill],
    answers: Sequence[SavedAnswer],
    progress: Progress,
    now: datetime,
) -> list[ComesBack]:
    """Say of each drill of a session whether its last answer was right and when it is due.

    Parameters
    ----------
    book : RuleBook
        For the names of drills.
    plan : sequence of Drill
        Drills of the session.
    answers : sequence of SavedAnswer
        Those given in it.
    progress : Progress
        What the person answered so far, this session included.
    now : datetime
        From when the days are counted.
    """
    last = {one.drill: one.right for one in answers}
    drills = {drill.key: drill for drill in plan if drill.key in last}
    rows = sorted(
        (progress.drills[key].due, drill_name(book, drill), last[key])
        for key, drill in drills.items()
        if key in progress.drills
    )
    return [ComesBack(name, right, when_words(due - now)) for due, name, right in rows]


def when_words(span: timedelta) -> str:
    """Say how long until something comes back.

    Examples
    --------
    >>> when_words(timedelta(minutes=8)), when_words(timedelta(days=3))
    ('later today', 'in 3 days')
    """
    days = round(span / timedelta(days=1))
    if span <= timedelta(0):
        return "next session"
    if span < timedelta(hours=12):
        return "later today"
    if days <= 1:
        return "tomorrow"
    return f"in {days} days" if days < 14 else f"in {round(days / 7)} weeks"


def ago_words(span: timedelta) -> str:
    """Say how long ago something was.

    Examples
    --------
    >>> ago_words(timedelta(hours=2)), ago_words(timedelta(days=9))
    ('today', '9 days ago')
    """
    days = round(span / timedelta(days=1))
    if span < timedelta(hours=12):
        return "today"
    if days <= 1:
        return "yesterday"
    return f"{days} days ago" if days < 14 else f"{round(days / 7)} weeks ago"
