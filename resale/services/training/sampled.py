"""A day's second looks, drawn by person: who reads together, and whose day is a lot of its own."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import numpy as np

from resale.storage.people.second_looks import SavedSample
from resale.training.agreement.sampling import Plan, choose, sampling_plan
from resale.training.oversight.read_again import ReadAgain
from resale.training.oversight.switching import Lot, Switching

TOGETHER = "together"
LEARNING_A_DAY = 8
"""Things of somebody who does not work alone that are read again in a day: our own opinion."""


@dataclass(frozen=True, slots=True)
class Share:
    """One person's part of a day.

    Attributes
    ----------
    reader : str
        Empty where nobody was signed in.
    how : str
        'together', or which plan the day follows: 'normal', 'tightened', 'reduced'.
    lot : tuple of str
        Numbers of their things; empty once it was drawn and only `picked` is kept.
    plan : Plan or None
        None while they read together: then there is no lot to pass.
    """

    reader: str
    how: str
    lot: tuple[str, ...]
    plan: Plan | None
    picked: tuple[str, ...] = ()

    @property
    def of(self) -> int:
        """Things of the day."""
        return self.plan.lot if self.plan else len(self.lot)

    @property
    def sample(self) -> int:
        """Things that are read again."""
        return self.plan.sample if self.plan else min(len(self.lot), LEARNING_A_DAY)

    def drawn(self, random: np.random.Generator) -> Share:
        """The same with its things drawn, each as likely as any other."""
        if self.plan:
            picked = choose(self.lot, self.plan, random)
        else:
            places = random.choice(len(self.lot), size=self.sample, replace=False)
            picked = tuple(self.lot[int(place)] for place in places)
        return Share(self.reader, self.how, self.lot, self.plan, picked)

    def as_plain(self) -> dict[str, Any]:
        """As it is kept with the day's sample."""
        return {
            "reader": self.reader,
            "how": self.how,
            "lot": list(self.lot),
            "aql": self.plan.aql if self.plan else None,
            "picked": list(self.picked),
        }


def shares_of_day(
    first_readers: Mapping[str, tuple[str, str]],
    working: Mapping[str, tuple[frozenset[str], Switching]],
    level: float,
    day: date,
) -> tuple[Share, ...]:
    """Divide a day by who read first, and say by which plan each part is looked at again.

    Parameters
    ----------
    first_readers : mapping of number to (name, kind)
        Of the day's items.
    working : mapping of name to (kinds, Switching)
        With which kinds somebody works alone, and which plan their days follow. Whoever is not in
        it is a lead, or nobody was signed in: their part follows the normal plan.
    level : float
        Quality level.
    day : date

    Returns
    -------
    tuple of Share
        Those who read together first.
    """
    parts: dict[tuple[str, str], list[str]] = {}
    for number, (name, kind) in first_readers.items():
        how = "normal"
        if name in working:
            kinds, now = working[name]
            how = _how(now, day) if kind in kinds else TOGETHER
        parts.setdefault((name, how), []).append(number)
    found = []
    for (name, how), numbers in parts.items():
        plan = sampling_plan(len(numbers), level, how) if how != TOGETHER else None  # type: ignore[arg-type]
        found.append(Share(name, how, tuple(numbers), plan))
    return tuple(sorted(found, key=lambda one: (one.how != TOGETHER, one.reader)))


def _how(now: Switching, day: date) -> str:
    state = now.on(day).state
    return "normal" if state == "discontinued" else state


def shares_kept(sample: SavedSample) -> tuple[Share, ...]:
    """The parts of a sample that was drawn; one of before they were drawn by person is one part."""
    plan = sample.plan
    if "shares" not in plan:
        kept = sampling_plan(plan["lot"], plan["aql"], "normal")
        return (Share("", "normal", sample.numbers, kept, sample.numbers),)
    return tuple(
        Share(
            one["reader"],
            one["how"],
            tuple(one["lot"]),
            sampling_plan(len(one["lot"]), one["aql"], one["how"]) if one["aql"] else None,
            tuple(one["picked"]),
        )
        for one in plan["shares"]
    )


def lots_of(
    name: str,
    drawn: Iterable[SavedSample],
    mine: Sequence[ReadAgain],
    since: datetime | None,
) -> tuple[list[Lot], int]:
    """Somebody's days while they worked alone, and how many of them nobody has read whole.

    Parameters
    ----------
    name : str
    drawn : iterable of SavedSample
        The oldest first.
    mine : sequence of ReadAgain
        What they read and others read too.
    since : datetime or None
        From when they worked alone; None where they never did.

    Returns
    -------
    list of Lot
        A day counts once its sample was read whole, or had too many misread already.
    int
    """
    if since is None:
        return [], 0
    by_number = {one.number: one for one in mine}
    lots, unread = [], 0
    start = since.astimezone().date()
    for sample in drawn:
        for share in shares_kept(sample) if sample.day >= start else ():
            if share.reader != name or share.plan is None:
                continue
            read = [by_number[number] for number in share.picked if number in by_number]
            misread = sum(one.misread for one in read)
            if len(read) == len(share.picked) or misread > share.plan.accept:
                lots.append(Lot(sample.day, share.plan, misread))
            else:
                unread += 1
    return lots, unread
