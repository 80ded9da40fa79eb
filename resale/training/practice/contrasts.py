"""Two answers that somebody took for each other: a pair that comes back until it is told apart.

A mixed-up pair is a drill of its own, whose exercises have one of the two answers as their truth.
It comes back within three cards, and then by the schedule like any other drill.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from resale.training.drawings.exercise import dice
from resale.training.practice.cards import FAMILIES as IN_WORDS
from resale.training.practice.drawn_drills import is_drawn, is_picked, telling_seed
from resale.training.practice.schedule import Drill, Progress
from resale.training.practice.session import Planned

BETWEEN = "~"
"""Stands between the two answers in the name of a pair."""

WITHIN = 3
"""Cards within which a mixed-up pair comes back, as long as the session has room."""


@dataclass(frozen=True, slots=True)
class Given:
    """An answer of a session; `place` counts from 1."""

    place: int
    answer: str
    truth: str
    right: bool


def pair_drill(drill: Drill, answer: str, truth: str) -> Drill:
    """Name the drill of two answers that were taken for each other, whichever way.

    Parameters
    ----------
    drill : Drill
        A drawn one, or a pair of it.
    answer, truth : str
        Ids of what was said and what is true.
    """
    return replace(drill, about=BETWEEN.join(sorted((answer, truth))))


def in_between(drill: Drill) -> frozenset[str]:
    """The two answers of a pair; empty for any other drill."""
    return frozenset(drill.about.split(BETWEEN)) if BETWEEN in drill.about else frozenset()


def pair_drills(drills: Sequence[Drill], progress: Progress) -> tuple[Drill, ...]:
    """Pairs that somebody mixed up, of the drills that there still are.

    Parameters
    ----------
    drills : sequence of Drill
        All there are.
    progress : Progress
        What one person answered so far.
    """
    known = {drill.key: drill for drill in drills}
    found = []
    for key in progress.drills:
        stem, _, about = key.rpartition("/")
        if BETWEEN in about and stem in known:
            found.append(replace(known[stem], about=about))
    return tuple(found)


def after_answer(
    progress: Progress, planned: Planned, given: Given, seconds: float, now: datetime
) -> Progress:
    """Take an answer into account; two answers that were mixed up become a drill of their own.

    Parameters
    ----------
    progress : Progress
    planned : Planned
        What was asked: the drill and its seed.
    given : Given
    seconds : float
        Time the answer took.
    now : datetime
        With a time zone.
    """
    drill = planned.drill
    after = progress.answered(drill, given.right, seconds, now)
    if given.right or not is_picked(drill, planned.seed):
        return after
    pair = pair_drill(drill, given.answer, given.truth)
    return after if pair.key == drill.key else after.answered(pair, False, seconds, now)


def with_contrasts(plan: Sequence[Planned], answers: Sequence[Given]) -> tuple[Planned, ...]:
    """Give the plan of a session as it stands after its answers: what was mixed up comes back.

    Parameters
    ----------
    plan : sequence of Planned
        As it was chosen.
    answers : sequence of Given
        In the order in which they were given.

    Returns
    -------
    tuple of Planned
        As many as were chosen: the last card that was not answered makes room, but no pair, and
        never the only one of what is new.

    Notes
    -----
    Of two answers the pair comes back; a number, or a card in words, is asked again in another
    way. The shop has few photos: theirs come back with the schedule alone. The plan follows from
    what was chosen and answered alone, so it is the same whenever it is asked for.
    """
    order = list(plan)
    done: set[int] = set()
    for one in answers:
        done.add(one.place)
        if one.right or one.place > len(order) or not _comes_back(order[one.place - 1].drill):
            continue
        at = next(
            (
                place
                for place in (one.place + 2, one.place + 3, one.place + 1)
                if place <= len(order) and place not in done
            ),
            None,
        )
        spare = _makes_room(order, done)
        if at is None or spare is None:
            continue
        if any(min(at, spare) <= place <= max(at, spare) for place in done):
            # Answers stay beside what was asked.
            continue
        back = _back(order[one.place - 1], one)
        del order[spare - 1]
        order.insert(at - 1, back)
    return tuple(order)


def _makes_room(order: Sequence[Planned], done: Collection[int]) -> int | None:
    """The place of the card that is missed least.

    Where most answers are wrong the mix-ups would take the whole session otherwise, and somebody
    who begins would see the same few signs every day.
    """
    cards = Counter(one.drill.key for one in order)
    left = [
        (one.why != "new", place)
        for place, one in enumerate(order, 1)
        if place not in done and one.why != "pair"
        if one.why != "new" or cards[one.drill.key] > 1
    ]
    return max(left)[-1] if left else None


def _comes_back(drill: Drill) -> bool:
    return is_drawn(drill) or drill.family in IN_WORDS


def _back(planned: Planned, given: Given) -> Planned:
    """The card that brings a mix-up back: another picture, one of the two answers true."""
    drill = planned.drill
    chance = dice(f"contrast/{drill.key}", drill.level, planned.seed)
    if is_picked(drill, planned.seed):
        drill = pair_drill(drill, given.answer, given.truth)
    seed = telling_seed(drill, planned.sign, in_between(drill), chance)
    return Planned(drill, seed, "pair", planned.sign)
