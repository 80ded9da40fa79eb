"""Choose a session by what misreading costs this shop: safety first, then money."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from random import Random

from resale.training.practice.contrasts import in_between, pair_drills
from resale.training.practice.drawn_drills import is_drawn, telling_seed
from resale.training.practice.schedule import Drill, Progress
from resale.training.practice.session import Planned, Why, choose_session, is_open, new_places
from resale.training.stake.stakes import Stake

CARDS = 11
"""Cards of a session where no course says otherwise: about three minutes."""

PAIR_PLACES = 2
SAFETY_PLACES = 2
LEAST_HOLDS = 0.05
"""Things let past a hold in a hundred from which a sign has a place of its own in the session."""

DEAREST, MEET_PLACES = 20, 1
"""Of so many of the dearest signs, one not met yet has a place in every session: what nobody was
asked hides how well it is read, and a first week is to show what matters most."""

DUE_PART = 0.2
"""Part of the places that what is due keeps, so that nothing once learned is lost."""

NEW_PART = 0.4
"""Part of the places that may be new: what is not met yet may hide what costs most."""

ANOTHER = 0.7
"""What is left of a sign's stake for the next card of the same sign in one session."""

IN_WORDS = 0.4
"""How much of what a picture teaches a card in words does (opinion; the benchmark says with what
else)."""

BESIDE_PICTURES = 0.15
"""The same where the sign has pictures to learn from."""

MOST_OF_A_SIGN = 3
"""Cards of one sign in a session that is not about it."""

LEAST_NEED = 0.1
MOST_ALIKE = 3


@dataclass(frozen=True, slots=True)
class _Chosen:
    drill: Drill
    why: Why
    sign: str = ""


def choose_by_stake(
    drills: Sequence[Drill],
    progress: Progress,
    now: datetime,
    random: Random,
    stakes: Mapping[str, Stake],
    *,
    places: int = CARDS,
    first: Sequence[str] = (),
) -> tuple[Planned, ...]:
    """Choose exactly so many cards, if there are any drills at all.

    Parameters
    ----------
    drills : sequence of Drill
        All there are.
    progress : Progress
    now : datetime
        With a time zone.
    random : Random
    stakes : mapping of sign to Stake
        What misreading each costs, the dearest first.
    places : int
        Cards of the session.
    first : sequence of str
        Signs that the session is about, as a course or today's bench asks; they come before all
        others.

    Returns
    -------
    tuple of Planned
        Each with the sign for which it was chosen.

    Notes
    -----
    First what was mixed up, not told apart since, and is due; then signs on which a thing is let
    past a hold; one of the dearest that was not met yet; then what the session is about, and what
    costs most, each further card of a sign counting less than the one before; a fifth of the
    places stays for what is due. What is left goes by the schedule.
    """
    room = _Room(progress, now, random, places)
    pairs = pair_drills(drills, progress)
    room.take(_still_mixed_up(pairs, progress, now), "pair", PAIR_PLACES)
    asked = {sign: stakes[sign] for sign in first if sign in stakes}
    holding = [one for one in stakes.values() if one.holds >= LEAST_HOLDS]
    holding.sort(key=lambda one: -one.holds)
    room.take_signs(drills, {one.sign: one.holds for one in holding}, "safety", SAFETY_PLACES)
    room.take_signs(drills, _not_met(drills, progress, stakes), "new", MEET_PLACES)
    before_due = places - round(DUE_PART * places)
    if asked:
        room.take_signs(drills, _worth(asked.values()), "course", before_due - len(room.chosen))
    every = _worth(stakes.values())
    room.take_signs(drills, every, "stake", before_due - len(room.chosen))
    room.take(_due([*drills, *pairs], progress, now, stakes), "due", places)
    room.take_signs(drills, every, "stake", places)
    room.fill(drills)
    return room.planned()


class _Room:
    """A session while it is being filled."""

    def __init__(self, progress: Progress, now: datetime, random: Random, places: int) -> None:
        self.progress, self.now, self.random, self.places = progress, now, random, places
        self.chosen: list[_Chosen] = []
        self.new_left = max(new_places(progress), round(NEW_PART * places))

    def take(self, drills: Iterable[Drill], why: Why, most: int) -> None:
        """Take drills not yet in, at most so many."""
        for drill in drills:
            if most <= 0 or len(self.chosen) >= self.places:
                return
            if all(drill.key != one.drill.key for one in self.chosen):
                self.chosen.append(_Chosen(drill, why))
                most -= 1

    def take_signs(
        self, drills: Sequence[Drill], worth: Mapping[str, float], why: Why, most: int
    ) -> None:
        """Take the drill that is worth most, again and again."""
        trained, luck = _by_sign(drills, self.progress), self.random.random
        pictured = {sign for sign, many in trained.items() if any(map(is_drawn, many))}
        for _ in range(most):
            if len(self.chosen) >= self.places:
                return
            offers = [
                (self._worth(money, sign, drill, pictured), luck(), sign, drill)
                for sign, money in worth.items()
                if money > 0 and (why == "course" or self._taken(sign) < MOST_OF_A_SIGN)
                for drill in trained.get(sign, ())
                if self._may(drill)
            ]
            if not offers:
                return
            *_, sign, drill = max(offers, key=lambda row: row[:2])
            self.new_left -= self._is_new(drill)
            self.chosen.append(_Chosen(drill, why, sign))

    def fill(self, drills: Sequence[Drill]) -> None:
        """Give what places are left to the schedule alone, then to fresh ones of what is in."""
        if len(self.chosen) < self.places:
            for one in choose_session(drills, self.progress, self.now, self.random):
                self.take([one.drill], "new" if one.why == "new" else "due", 1)
        once_more = [_Chosen(one.drill, "again", one.sign) for one in self.chosen] * self.places
        self.chosen += once_more[: max(self.places - len(self.chosen), 0)]

    def planned(self) -> tuple[Planned, ...]:
        """Give each card its exercise, alike ones apart, mixed-up pairs early."""
        early = [one for one in self.chosen if one.why == "pair"]
        rest = [one for one in self.chosen if one.why != "pair"]
        order = _apart(rest, self.random)
        for place, one in enumerate(early):
            order.insert(min(1 + 2 * place, len(order)), one)
        return tuple(
            Planned(
                one.drill,
                telling_seed(one.drill, one.sign, in_between(one.drill), self.random),
                one.why,
                one.sign,
            )
            for one in order
        )

    def _worth(self, money: float, sign: str, drill: Drill, pictured: Collection[str]) -> float:
        """What a card may save: less with each card of its sign, and where it is known already."""
        left = ANOTHER ** self._taken(sign)
        return float(money * left * self._need(drill, sign in pictured))

    def _taken(self, sign: str) -> int:
        return sum(one.sign == sign for one in self.chosen)

    def _may(self, drill: Drill) -> bool:
        alike = sum(one.drill.key == drill.key for one in self.chosen)
        return alike < MOST_ALIKE and (not self._is_new(drill) or self.new_left > 0)

    def _is_new(self, drill: Drill) -> bool:
        met = drill.key in self.progress.drills
        return not met and all(one.drill.key != drill.key for one in self.chosen)

    def _need(self, drill: Drill, pictured: bool) -> float:
        """How much a drill has left to teach: what is known and fresh in mind has little."""
        words = BESIDE_PICTURES if pictured else IN_WORDS
        teaches = 1.0 if is_drawn(drill) else words
        standing = self.progress.drills.get(drill.key)
        if standing is None:
            return teaches
        known = standing.share_right * standing.remembered(self.now)
        return teaches * max(1 - known, LEAST_NEED)


def _worth(stakes: Iterable[Stake]) -> dict[str, float]:
    return {one.sign: one.money for one in stakes}


def _not_met(
    drills: Iterable[Drill], progress: Progress, stakes: Mapping[str, Stake]
) -> dict[str, float]:
    """The dearest signs of which no picture was answered yet, holds counted."""
    met = {
        sign
        for one in drills
        if is_drawn(one) and one.key in progress.drills
        for sign in one.signal_ids
    }
    pictured = {sign for one in drills if is_drawn(one) for sign in one.signal_ids}
    dear = sorted(stakes.values(), key=lambda one: -one.weight)[:DEAREST]
    return {one.sign: one.weight for one in dear if one.sign in pictured - met}


def _by_sign(drills: Sequence[Drill], progress: Progress) -> dict[str, list[Drill]]:
    """Drills whose level is open, by sign that they train."""
    found: dict[str, list[Drill]] = {}
    for drill in drills:
        if is_open(drill, progress):
            for sign in drill.signal_ids:
                found.setdefault(sign, []).append(drill)
    return found


def _still_mixed_up(pairs: Sequence[Drill], progress: Progress, now: datetime) -> list[Drill]:
    """Pairs whose time has come and whose last answer was wrong; others are due like any drill."""
    ready = [(progress.drills[one.key], one) for one in pairs]
    ready = [row for row in ready if row[0].due <= now and not row[0].recent[-1]]
    return [one for _, one in sorted(ready, key=lambda row: (row[0].remembered(now), row[1].key))]


def _due(
    drills: Sequence[Drill], progress: Progress, now: datetime, stakes: Mapping[str, Stake]
) -> list[Drill]:
    """Drills whose time has come, what is forgotten at the greatest cost first."""
    ready = []
    for drill in drills:
        standing = progress.drills.get(drill.key)
        if standing and standing.due <= now:
            cost = max((stakes[one].weight for one in drill.signal_ids if one in stakes), default=0)
            ready.append((-(1 - standing.remembered(now)) * cost, drill.key, drill))
    return [drill for *_, drill in sorted(ready, key=lambda row: row[:2])]


def _apart(chosen: list[_Chosen], random: Random) -> list[_Chosen]:
    """Shuffle so that a family does not follow itself where that can be helped."""
    families: dict[str, list[_Chosen]] = {}
    for one in chosen:
        families.setdefault(one.drill.family, []).append(one)
    order: list[_Chosen] = []
    last = ""
    while families:
        luck = {name: random.random() for name in sorted(families)}
        name = max(families, key=lambda n: (n != last, len(families[n]), luck[n]))
        order.append(families[name].pop(0))
        last = name
        if not families[name]:
            del families[name]
    return order
