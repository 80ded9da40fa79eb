"""How far one person misreads a sign: what readings that were set right say, and the Drill.

How far is counted against guessing: 0 reads as the lead does, 1 reads no better than somebody who
names answers as often as they occur. So a clean thing read as clean proves little, and the Drill,
where every answer is as likely as another, may be set beside the bench.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

BEGINNER = 0.45
"""How far off somebody of whom nothing is known reads (opinion, of this many readings' weight)."""

BEGINNER_WEIGHT = 2.0
OTHERS = 0.15
"""What a reading of a colleague weighs against one's own."""

FADES = 0.85
"""What is left of an answer at the Drill with each later one: people learn there."""

HALF_AGE = 20.0
"""Days in which a reading loses half of its weight: people learn."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One sign of one thing, as somebody read it and as it was set right.

    Attributes
    ----------
    own : bool
        Whether this very person read it; else a colleague did.
    days : float
        Since then.
    drilled : bool
        Whether it was an answer at the Drill.
    """

    sign: str
    read: str
    true: str
    own: bool = True
    days: float = 0.0
    drilled: bool = False

    @property
    def weight(self) -> float:
        """What it says of this person by now, against a reading of their own of today."""
        return float((1.0 if self.own else OTHERS) * 0.5 ** (self.days / HALF_AGE))


@dataclass
class Misread:
    """What is known of one person and one sign.

    Attributes
    ----------
    wrong, of : float
        Weighed readings of real things that went wrong, and all of them.
    missed, drilled : float
        Weighed answers at the Drill that went wrong, and all of them.
    own_wrong, own_of : int
        Their own readings on real things, counted.
    drill_wrong, drill_of : int
        Their own answers at the Drill, counted.
    pairs : dict of (str, str) to float
        Weighed mix-ups: what was true, and what was read.
    before : float
        What is left of what was known before the Drill: with each answer there, less.
    """

    wrong: float = 0.0
    of: float = 0.0
    missed: float = 0.0
    drilled: float = 0.0
    own_wrong: int = 0
    own_of: int = 0
    drill_wrong: int = 0
    drill_of: int = 0
    pairs: dict[tuple[str, str], float] = field(default_factory=dict)
    before: float = 1.0

    def fade(self) -> None:
        """Let an answer at the Drill take from what was known before it: it taught something."""
        self.before *= FADES
        self.wrong *= FADES
        self.of *= FADES
        self.pairs = {pair: weight * FADES for pair, weight in self.pairs.items()}

    def far(self, variety: float) -> float:
        """How far it is misread, 0 to 1, where guessing goes wrong in `variety` of cases."""
        # At the Drill every answer is as likely as another, so each answer is a trial by itself.
        opinion = BEGINNER_WEIGHT * self.before
        tried = opinion + self.of * max(variety, 0.05) + self.drilled
        return min((BEGINNER * opinion + self.wrong + self.missed) / tried, 1.0)


def misread_by_sign(readings: Iterable[Reading]) -> Mapping[str, Misread]:
    """Gather readings by sign.

    Parameters
    ----------
    readings : iterable of Reading
        Of one person, and of the colleagues who stand in for what is not known yet; answers at the
        Drill in the order in which they were given.
    """
    found: dict[str, Misread] = {}
    for one in sorted(readings, key=lambda one: -one.days):
        known = found.setdefault(one.sign, Misread())
        wrong = one.read != one.true
        if one.drilled:
            known.missed = known.missed * FADES + wrong
            known.drilled = known.drilled * FADES + 1
            known.drill_wrong += int(wrong)
            known.drill_of += 1
            known.fade()
        else:
            known.of += one.weight
            known.wrong += one.weight * wrong
            known.own_wrong += int(wrong and one.own)
            known.own_of += int(one.own)
        if wrong:
            pair = (one.true, one.read)
            known.pairs[pair] = known.pairs.get(pair, 0.0) + one.weight
    return found
