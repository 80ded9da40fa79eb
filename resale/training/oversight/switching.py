"""How many of somebody's things are read twice once they work alone: ISO 2859-1's switching rules.

Each day of theirs is a lot. Days that fail bring more second looks, a run of good days brings
fewer, and five failed days under the tightened plan bring them back to reading together.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from resale.training.agreement.sampling import Plan, sampling_plan, stricter

State = Literal["normal", "tightened", "reduced", "discontinued"]

REDUCED_FROM = 30
"""Switching score from which the reduced plan holds (ISO 2859-1, 9.3.3)."""

OF_LAST, FAILED = 5, 2
"""So many failed of so many last days under the normal plan bring the tightened one."""

GOOD_RUN = 5
"""Passed days on end that end the tightened plan."""

MOST_FAILED = 5
"""Failed days under the tightened plan that end working alone."""

UNSTEADY = timedelta(days=30)
"""A pause from which work counts as no longer steady, so that the reduced plan ends: our own."""


@dataclass(frozen=True, slots=True)
class Lot:
    """One day's things of one person, looked at again by plan.

    Attributes
    ----------
    misread : int
        In the sample.
    """

    day: date
    plan: Plan
    misread: int

    @property
    def passed(self) -> bool:
        """Whether the day passes."""
        return self.plan.passes(self.misread)

    @property
    def passes_stricter(self) -> bool:
        """Whether it would have passed one quality level stricter."""
        tight = stricter(self.plan)
        most = tight.accept if tight else self.plan.accept - 1
        return self.misread <= most


@dataclass(frozen=True, slots=True)
class Switching:
    """Which plan holds, and why.

    Attributes
    ----------
    score : int
        Switching score; counted under the normal plan alone.
    days : int
        Lots so far.
    why : str
        What brought this plan, as the end of a sentence.
    """

    state: State = "normal"
    score: int = 0
    run: int = 0
    failed: int = 0
    lately: tuple[bool, ...] = ()
    days: int = 0
    last: date | None = None
    why: str = "each starts with the normal plan"

    def plan(self, lot: int, aql: float) -> Plan:
        """The plan for a day.

        Parameters
        ----------
        lot : int
            Things of the day.
        aql : float
            Quality level.
        """
        kept = "normal" if self.state == "discontinued" else self.state
        return sampling_plan(lot, aql, kept)

    def on(self, day: date) -> Switching:
        """The same on a day: a long pause ends the reduced plan."""
        if self.state == "reduced" and self.last and day - self.last > UNSTEADY:
            return Switching(last=self.last, days=self.days, why="work was not steady lately")
        return self

    def after(self, lot: Lot) -> Switching:
        """What holds after a further day."""
        before = self.on(lot.day)
        if before.state == "discontinued":
            return before
        step = {"normal": _normal, "tightened": _tightened, "reduced": _reduced}[before.state]
        return step(before, lot)


def switching(lots: Iterable[Lot]) -> Switching:
    """Go through somebody's days, the oldest first.

    Parameters
    ----------
    lots : iterable of Lot
        Since they were let work alone.

    Returns
    -------
    Switching

    References
    ----------
    ISO 2859-1:1999, 9.3 (switching rules) and 9.4 (discontinuation), from memory; MIL-STD-105E,
    4.7, has the same first and second rule.
    """
    now = Switching()
    for lot in lots:
        now = now.after(lot)
    return now


def _normal(now: Switching, lot: Lot) -> Switching:
    lately = (*now.lately, lot.passed)[-OF_LAST:]
    days = now.days + 1
    if lately.count(False) >= FAILED:
        why = f"{FAILED} of the last {len(lately)} days failed"
        return Switching("tightened", days=days, last=lot.day, why=why)
    score = now.score + _points(lot) if _points(lot) else 0
    if score >= REDUCED_FROM:
        why = f"a run of good days brought the score to {score}"
        return Switching("reduced", days=days, last=lot.day, why=why)
    return Switching("normal", score, 0, 0, lately, days, lot.day, now.why)


def _points(lot: Lot) -> int:
    """Points of a day: 2 where at most one misread thing passes, else 3 if it is good enough."""
    if lot.plan.accept >= 2:
        return 3 if lot.passes_stricter and lot.passed else 0
    return 2 if lot.passed else 0


def _tightened(now: Switching, lot: Lot) -> Switching:
    run = now.run + 1 if lot.passed else 0
    failed, days = now.failed + (not lot.passed), now.days + 1
    if failed >= MOST_FAILED:
        why = f"{MOST_FAILED} days failed under the tightened plan"
        return Switching("discontinued", days=days, last=lot.day, why=why)
    if run >= GOOD_RUN:
        why = f"{GOOD_RUN} days on end passed"
        return Switching(days=days, last=lot.day, why=why)
    return Switching("tightened", 0, run, failed, (), days, lot.day, now.why)


def _reduced(now: Switching, lot: Lot) -> Switching:
    days = now.days + 1
    if not lot.passed:
        return Switching(days=days, last=lot.day, why="a day failed under the reduced plan")
    return Switching("reduced", days=days, last=lot.day, why=now.why)
