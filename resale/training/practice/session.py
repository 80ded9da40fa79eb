"""Choose a short session: what is due, what the shop misreads, and something new."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from random import Random
from typing import Literal

from resale.training.practice.schedule import Drill, Progress

Why = Literal["due", "weak", "new", "again", "pair", "safety", "course", "stake"]

SECONDS = 180.0
READING = 4.0
"""Seconds to read the reason after each answer."""

DUE_PART = 0.6
"""Part of the time that due drills may take before weak signals get their turn."""

MOST_NEW, STEADY_NEW, LEAST_NEW = 5, 3, 1
"""New drills of a session: for whoever starts, later on, and while most goes wrong."""

STARTING = 20
"""Drills met from which somebody no longer starts."""

GOES_WRONG = 0.5
"""Share of right answers below which more that is new would only confuse."""

MOST_REPEATS = 3
WEAK_FROM = 0.2
OPENS_AFTER, OPENS_RIGHT = 3, 2
"""A level opens when, of the last three answers one level down, two were right."""


@dataclass(frozen=True, slots=True)
class Planned:
    """One place in a session.

    Attributes
    ----------
    seed : int
        Draws the exercise.
    why : str
        'due', 'weak' (people misread it), 'new', 'again' (a fresh one of this session's), 'pair'
        (two answers that were mixed up), 'safety', 'course' (what the session is about) or
        'stake' (what costs the shop most).
    sign : str
        Sign for which it was chosen; empty where none was.
    because : str
        Why it was chosen, in a sentence; empty where the word says it all.
    """

    drill: Drill
    seed: int
    why: Why
    sign: str = ""
    because: str = ""


def choose_session(
    drills: Sequence[Drill],
    progress: Progress,
    now: datetime,
    random: Random,
    *,
    weak: Mapping[str, float] | None = None,
    seconds: float = SECONDS,
) -> tuple[Planned, ...]:
    """Choose what to practise in the next few minutes.

    Parameters
    ----------
    drills : sequence of Drill
        All there are.
    progress : Progress
    now : datetime
        With a time zone.
    random : Random
        Seeded; the same seed, progress and time give the same session.
    weak : mapping of signal id to float, optional
        How often this trainee, or the shop, misreads a signal, 0 to 1.
    seconds : float
        Length of the session; at least one drill is given if there is any.

    Returns
    -------
    tuple of Planned
        Same families apart where possible.

    Notes
    -----
    One new drill keeps its place whatever is due. Then come due drills, the most forgotten first,
    for part of the time; weak signals; the rest of what is due; more new ones, as many as
    `new_places` gives; and if time is left, fresh exercises of those already chosen.
    """
    chosen = _Choice(seconds, progress)
    frail = weak or {}
    new = _new(drills, progress, frail, random)
    due = _due(drills, progress, now)
    chosen.take(new[:1], "new")
    chosen.take(due, "due", until=DUE_PART * seconds)
    chosen.take(_weak(drills, progress, frail), "weak")
    chosen.take(due, "due")
    chosen.take(new[1 : new_places(progress)], "new")
    for _ in range(MOST_REPEATS - 1):
        chosen.repeat()
    return tuple(
        Planned(drill, random.getrandbits(31), why) for drill, why in _apart(chosen.picked, random)
    )


class _Choice:
    """A session while it is being filled."""

    def __init__(self, seconds: float, progress: Progress) -> None:
        self.seconds = seconds
        self.progress = progress
        self.used = 0.0
        self.picked: list[tuple[Drill, Why]] = []

    def take(self, drills: Iterable[Drill], why: Why, until: float | None = None) -> None:
        """Take drills not yet in, as long as there is time."""
        keys = {drill.key for drill, _ in self.picked}
        for drill in drills:
            cost = self.cost(drill)
            if drill.key not in keys and (not self.picked or self.fits(cost, until)):
                self._add(drill, why, cost)

    def repeat(self) -> None:
        """Give each of the drills in it once more, as long as there is time."""
        for drill in dict.fromkeys(drill for drill, _ in self.picked):
            if self.fits(self.cost(drill), None):
                self._add(drill, "again", self.cost(drill))

    def fits(self, cost: float, until: float | None) -> bool:
        """Whether so many seconds are left."""
        return self.used + cost <= (self.seconds if until is None else until)

    def cost(self, drill: Drill) -> float:
        """Seconds that a drill takes this trainee, once there are three answers to tell."""
        one = self.progress.drills.get(drill.key)
        own = one.seconds if one and one.answered >= OPENS_AFTER else drill.seconds
        return own + READING

    def _add(self, drill: Drill, why: Why, cost: float) -> None:
        self.picked.append((drill, why))
        self.used += cost


def new_places(progress: Progress) -> int:
    """How many new drills a session may bring, if what is due leaves the time.

    Notes
    -----
    Five while somebody starts, so that the first sessions are lively and a week shows every zone;
    three afterwards, which the due ones of later weeks leave room for; one while fewer than half
    of the last answers are right.
    """
    standings = progress.drills.values()
    recent = [right for one in standings for right in one.recent]
    if len(recent) >= MOST_NEW and sum(recent) < GOES_WRONG * len(recent):
        return LEAST_NEW
    return MOST_NEW if len(standings) < STARTING else STEADY_NEW


def is_open(drill: Drill, progress: Progress) -> bool:
    """Whether the level below was mastered well enough to try this one.

    Parameters
    ----------
    drill : Drill
        A drill with its level.
    progress : Progress
        What one person answered so far.

    Returns
    -------
    bool
        Always true at level 1.
    """
    if not drill.below:
        return True
    lower = progress.drills.get(drill.below)
    if lower is None or lower.answered < OPENS_AFTER:
        return False
    return sum(lower.recent[-OPENS_AFTER:]) >= OPENS_RIGHT


def _due(drills: Sequence[Drill], progress: Progress, now: datetime) -> list[Drill]:
    """Drills whose time has come, the most forgotten first."""
    met = [(progress.drills[drill.key], drill) for drill in drills if drill.key in progress.drills]
    ready = [(one.remembered(now), one.due, drill) for one, drill in met if one.due <= now]
    return [drill for *_, drill in sorted(ready, key=lambda row: (row[0], row[1], row[2].key))]


def _weak(drills: Sequence[Drill], progress: Progress, weak: Mapping[str, float]) -> list[Drill]:
    """Drills met before on signals that people misread, or that this trainee often fails."""
    frail = []
    for drill in drills:
        one = progress.drills.get(drill.key)
        if one:
            need = max(_need(drill, weak), 1 - one.share_right)
            frail.append((-need, drill.key, drill))
    return [
        drill for need, _, drill in sorted(frail, key=lambda row: row[:2]) if -need >= WEAK_FROM
    ]


def _new(
    drills: Sequence[Drill], progress: Progress, weak: Mapping[str, float], random: Random
) -> list[Drill]:
    """Drills never met whose level is open: weak signals first, then low levels, then by turns.

    Families take turns, however many drills each has, or cards would drown the drawings.
    """
    unmet = [d for d in drills if d.key not in progress.drills and is_open(d, progress)]
    # Families are drawn first: the luckiest of many cards would always beat a lone drawing.
    first = {family: random.random() for family in sorted({drill.family for drill in unmet})}
    luck = {drill.key: random.random() for drill in sorted(unmet, key=lambda drill: drill.key)}
    turn: dict[str, int] = {}
    met: dict[tuple[str, int], int] = {}
    for drill in sorted(unmet, key=lambda drill: luck[drill.key]):
        place = (drill.family, drill.level)
        turn[drill.key] = met[place] = met.get(place, -1) + 1
    return sorted(unmet, key=lambda d: (-_need(d, weak), d.level, turn[d.key], first[d.family]))


def _need(drill: Drill, weak: Mapping[str, float]) -> float:
    return max((weak.get(signal, 0.0) for signal in drill.signal_ids), default=0.0)


def _apart(picked: list[tuple[Drill, Why]], random: Random) -> list[tuple[Drill, Why]]:
    """Shuffle so that a family does not follow itself where that can be helped.

    The family with the most places left goes next, unless it was the last one: a greedy order that
    finds one without neighbours whenever there is one.
    """
    families: dict[str, list[tuple[Drill, Why]]] = {}
    for one in sorted(picked, key=lambda row: (row[1] == "again", row[0].key)):
        families.setdefault(one[0].family, []).append(one)
    order: list[tuple[Drill, Why]] = []
    last = ""
    while families:
        luck = {name: random.random() for name in sorted(families)}
        name = max(families, key=lambda n: (n != last, len(families[n]), luck[n]))
        order.append(families[name].pop(0))
        last = name
        if not families[name]:
            del families[name]
    return order
