"""When a trainee should meet a drill again, by an open spaced-repetition library.

A drill is a family of exercises at a level; each time it comes up it is drawn anew, so that what is
remembered is the skill and not the picture. The library (fsrs: free spaced repetition scheduler)
keeps a memory state for each drill. Its random spreading of dates is off and the time is handed in,
so that the same answers always give the same plan.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from types import MappingProxyType
from typing import Any

from fsrs import Card, Rating, Scheduler

from resale.errors import ResaleError

RECENT = 6
"""Answers of a drill that are kept one by one."""

SLOW, QUICK = 2.0, 0.4
"""Against the usual time: from here a right answer was hard, below there it was easy."""

_SCHEDULER = Scheduler(enable_fuzzing=False)


@dataclass(frozen=True, slots=True)
class Drill:
    """Something to practise.

    Attributes
    ----------
    family : str
        Family of drawings or of cards.
    level : int
    about : str
        Signal that a card is about; empty where the family says it all.
    signal_ids : tuple of str
        Signals that it trains.
    zone : str
    seconds : float
        What one answer usually takes.
    """

    family: str
    level: int
    about: str = ""
    signal_ids: tuple[str, ...] = ()
    zone: str = ""
    seconds: float = 12.0

    @property
    def key(self) -> str:
        """Name of the drill in the stored state."""
        return "/".join(filter(None, (self.family, str(self.level), self.about)))

    @property
    def below(self) -> str:
        """Key of the same drill one level down; empty at the first."""
        return replace(self, level=self.level - 1).key if self.level > 1 else ""


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a trainee stands with one drill.

    Attributes
    ----------
    card : Card
        Memory state of the library.
    answered, right : int
    recent : tuple of bool
        The last answers, newest last.
    seconds : float
        Mean time of all answers.
    """

    card: Card
    answered: int
    right: int
    recent: tuple[bool, ...]
    seconds: float

    @property
    def share_right(self) -> float:
        """Share of recent answers that were right."""
        return sum(self.recent) / len(self.recent)

    @property
    def due(self) -> datetime:
        """When it should come up again (UTC)."""
        return self.card.due

    def remembered(self, now: datetime) -> float:
        """Chance that it would be answered right now, as the library sees it."""
        return _SCHEDULER.get_card_retrievability(self.card, _utc(now))


@dataclass(frozen=True, slots=True)
class Progress:
    """All that is kept of a trainee: standings by key of the drill."""

    drills: Mapping[str, Standing] = field(default_factory=lambda: MappingProxyType({}))

    def answered(self, drill: Drill, right: bool, seconds: float, now: datetime) -> Progress:
        """Take an answer into account.

        Parameters
        ----------
        drill : Drill
        right : bool
        seconds : float
            Time the answer took.
        now : datetime
            With a time zone.

        Returns
        -------
        Progress
        """
        old = self.drills.get(drill.key)
        when = _utc(now)
        card = old.card if old else Card(card_id=zlib.crc32(drill.key.encode()), due=when)
        rating = rate(right, seconds, drill.seconds, first=old is None)
        card, _ = _SCHEDULER.review_card(card, rating, when)
        count = old.answered if old else 0
        mean = old.seconds if old else 0.0
        new = Standing(
            card,
            count + 1,
            (old.right if old else 0) + right,
            ((old.recent if old else ()) + (right,))[-RECENT:],
            (mean * count + seconds) / (count + 1),
        )
        return Progress(MappingProxyType({**self.drills, drill.key: new}))

    def as_plain(self) -> dict[str, Any]:
        """Plain values that JSON can hold."""
        return {
            key: {
                "card": dict(one.card.to_dict()),
                "answered": one.answered,
                "right": one.right,
                "recent": list(one.recent),
                "seconds": one.seconds,
            }
            for key, one in self.drills.items()
        }

    @classmethod
    def from_plain(cls, plain: Mapping[str, Any]) -> Progress:
        """Read what `as_plain` gave.

        Raises
        ------
        ResaleError
            If it is something else.
        """
        drills = {}
        for key, one in plain.items():
            try:
                drills[key] = _standing(one)
            except (KeyError, TypeError, ValueError):
                raise ResaleError(
                    "the stored training state cannot be read",
                    where=f"drill {key}",
                    remedy="let this drill start anew",
                ) from None
        return cls(MappingProxyType(drills))


def _standing(plain: Mapping[str, Any]) -> Standing:
    card = Card.from_dict(plain["card"])
    recent = tuple(bool(each) for each in plain["recent"])
    if not recent or card.due.tzinfo is None:
        raise ValueError("a standing needs an answer, and its date a time zone")
    return Standing(
        card, int(plain["answered"]), int(plain["right"]), recent, float(plain["seconds"])
    )


def rate(right: bool, seconds: float, usual: float, *, first: bool = False) -> Rating:
    """Turn an answer and its time into one of the library's four ratings.

    Parameters
    ----------
    right : bool
    seconds, usual : float
        Time taken, and the time such an answer usually takes.
    first : bool
        A quick right answer to something never met may be luck, so it does not count as easy.

    Examples
    --------
    >>> rate(True, 30, 12).name, rate(True, 4, 12).name, rate(False, 4, 12).name
    ('Hard', 'Easy', 'Again')
    """
    if not right:
        return Rating.Again
    if seconds > SLOW * usual:
        return Rating.Hard
    if seconds < QUICK * usual and not first:
        return Rating.Easy
    return Rating.Good


@dataclass(frozen=True, slots=True)
class Mastery:
    """How far a trainee is with a group of drills.

    Attributes
    ----------
    met, of : int
        Drills met, of all in the group.
    share_right : float
        Mean share of recent answers that were right; nan where none was met.
    remembered : float
        Mean chance of a right answer now over all of the group, unmet ones counting 0.
    """

    met: int
    of: int
    share_right: float
    remembered: float


def mastery_by(
    groups_of: Callable[[Drill], Iterable[str]],
    drills: Iterable[Drill],
    progress: Progress,
    now: datetime,
) -> dict[str, Mastery]:
    """Progress by group, such as signal or zone.

    Parameters
    ----------
    groups_of : callable
        Names of the groups of a drill: ``lambda drill: drill.signal_ids``, or its zone.
    """
    members: dict[str, list[Drill]] = {}
    for drill in drills:
        for name in groups_of(drill):
            members.setdefault(name, []).append(drill)
    return {name: _mastery(group, progress, now) for name, group in members.items()}


def _mastery(drills: list[Drill], progress: Progress, now: datetime) -> Mastery:
    met = [progress.drills[drill.key] for drill in drills if drill.key in progress.drills]
    if not met:
        return Mastery(0, len(drills), float("nan"), 0.0)
    return Mastery(
        len(met),
        len(drills),
        sum(one.share_right for one in met) / len(met),
        sum(one.remembered(now) for one in met) / len(drills),
    )


def _utc(now: datetime) -> datetime:
    if now.tzinfo is None:
        raise ValueError("the time must say its time zone")
    return now.astimezone(UTC)
