"""One thing as one person read it, against what it was settled to be.

Money decides. Two careful people differ in small signs, and a sign that moves nothing may be
passed over; what counts is a price that is off by more than the shop allows, or a thing that goes
another way, to the rail instead of a hold.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

from resale.garments.rulebook.signals import Signal
from resale.training.agreement.comparison import Comparison, Difference
from resale.training.oversight.alone_rule import Step
from resale.training.oversight.settled import Settled

Left = Literal["passed", "accepted", "usual", "untold"]


@dataclass(frozen=True, slots=True)
class ReadAgain:
    """A thing that somebody read and others read too.

    Attributes
    ----------
    at : datetime
        Of the first other reading.
    settled : Settled
        By the others, and by the reader where others parted.
    found : Comparison
        The reader's reading against it: 'otherwise' signs were misread; of 'missed' ones `left`
        says what was.
    beyond : float
        Share of the price from which a difference counts.
    usual : mapping of sign to str
        Names of answers that the reader accepted as usual, without a look.
    untold : frozenset of str
        Signs that the reader looked at and could not tell.
    """

    number: str
    kind: str
    reader: str
    at: datetime
    settled: Settled
    found: Comparison
    beyond: float
    usual: Mapping[str, str] = field(default_factory=dict)
    untold: frozenset[str] = frozenset()

    @property
    def other_way(self) -> bool:
        """Whether it goes another way: held, mended, passed on."""
        return self.found.by_trainee.route != self.found.by_lead.route

    @property
    def misread(self) -> bool:
        """Whether it counts as misread."""
        return self.other_way or self.off > self.beyond

    @property
    def off(self) -> float:
        """By what share of its price it was put too high or too low."""
        return abs(self.found.money) / max(self.found.by_lead.estimate, 1)

    @property
    def waits(self) -> bool:
        """Whether it is misread by signs that a third person has to settle."""
        differences = self.found.differences
        return self.misread and any(one.signal.id in self.settled.open for one in differences)

    def left(self, one: Difference) -> Left:
        """Say how a sign was left without an answer that others have one to.

        Parameters
        ----------
        one : Difference
            A 'missed' one.

        Returns
        -------
        str
            'passed' where nobody knows of a look, 'untold' where the reader looked and could not
            tell, 'accepted' where another answer was taken as usual, 'usual' where the usual one
            is right: a look would have said the same.
        """
        if one.signal.id in self.untold:
            return "untold"
        said = self.usual.get(one.signal.id)
        if said is None:
            return "passed"
        return "usual" if said == one.lead_answer else "accepted"

    def count_left(self, how: Left) -> int:
        """How many signs were left so.

        Parameters
        ----------
        how : str
            As `left` says it.
        """
        missed = (one for one in self.found.differences if one.what == "missed")
        return sum(self.left(one) == how for one in missed)

    @property
    def passed_over(self) -> int:
        """Signs that others looked at and the reader did not."""
        return self.count_left("passed")

    @property
    def accepted(self) -> int:
        """Signs accepted as usual that are not."""
        return self.count_left("accepted")

    @property
    def could_not_tell(self) -> int:
        """Signs that the reader could not tell and others could."""
        return self.count_left("untold")

    @property
    def skipped_alone(self) -> bool:
        """Whether it is misread only because signs were never looked at."""
        misread = self.found.count("otherwise")
        return self.misread and not misread and bool(self.passed_over + self.accepted)

    def sign_misread(self, sign: str) -> bool:
        """Whether this sign alone, misread or passed over, does what counts."""
        for one in self.found.differences:
            if one.signal.id == sign:
                moved = abs(one.money) / max(self.found.by_lead.estimate, 1)
                return one.moves_route or moved > self.beyond
        return False

    @property
    def looked(self) -> tuple[str, ...]:
        """Signs that count for the reader: read, passed over, accepted, or not to be told."""
        missed = (one.signal.id for one in self.found.differences if one.what != "extra")
        return tuple(dict.fromkeys((*(one.id for one in self.found.alike), *missed)))


@dataclass(frozen=True, slots=True)
class SignCost:
    """What one sign costs through one person, over the things that were read again.

    Attributes
    ----------
    things : int
        On which somebody looked at the sign.
    misread, passed_over, accepted, untold : int
        Of these: read otherwise, never looked at, accepted as usual and not so, and not to be
        told by this person alone.
    misread_money, passed_money, accepted_money, untold_money : float
        Minor units by which prices were off, whichever way, in a hundred things.
    net : float
        The same with its direction: above 0, prices were too high.
    """

    signal: Signal
    things: int
    misread: int
    passed_over: int
    accepted: int
    untold: int
    misread_money: float
    passed_money: float
    accepted_money: float
    untold_money: float
    net: float

    @property
    def money(self) -> float:
        """All together."""
        return self.misread_money + self.passed_money + self.accepted_money + self.untold_money


def costs_by_sign(many: Iterable[ReadAgain]) -> tuple[SignCost, ...]:
    """Add up what each sign costs, the dearest first.

    Parameters
    ----------
    many : iterable of ReadAgain
        Of one person.

    Returns
    -------
    tuple of SignCost
        Money is for a hundred things as they came, of all kinds that were read again.
    """
    rows: dict[str, list[tuple[str, int]]] = defaultdict(list)
    signals: dict[str, Signal] = {}
    things = 0
    for one in many:
        things += 1
        for signal in one.found.alike:
            signals.setdefault(signal.id, signal)
            rows[signal.id].append(("alike", 0))
        for each in one.found.differences:
            if each.what != "extra":
                signals.setdefault(each.signal.id, each.signal)
                what = one.left(each) if each.what == "missed" else each.what
                rows[each.signal.id].append((what, each.money))
    found = [_cost(signals[sign], seen, things) for sign, seen in rows.items()]
    return tuple(sorted(found, key=lambda one: (-one.money, one.signal.name)))


def _cost(signal: Signal, seen: Sequence[tuple[str, int]], things: int) -> SignCost:
    def of(what: str) -> tuple[int, float]:
        money = [abs(each) for said, each in seen if said == what]
        return len(money), 100 * sum(money) / things

    (misread, otherwise), (passed, skipped), (accepted, taken), (untold, unknown) = (
        of(what) for what in ("otherwise", "passed", "accepted", "untold")
    )
    # A usual answer that is right was no mistake, though the price went by the average.
    seen = [row for row in seen if row[0] != "usual"] or [("alike", 0)]
    net = 100 * sum(each for _, each in seen) / things
    return SignCost(
        signal,
        len(seen),
        misread,
        passed,
        accepted,
        untold,
        otherwise,
        skipped,
        taken,
        unknown,
        net,
    )


def steps_of(many: Iterable[ReadAgain]) -> list[Step]:
    """The things as steps of a sequential test, the oldest first.

    Parameters
    ----------
    many : iterable of ReadAgain
        Of one person. What waits for a third counts as misread until it is settled.
    """
    return [Step(one.at, one.misread) for one in sorted(many, key=lambda one: one.at)]


def steps_of_sign(many: Iterable[ReadAgain], sign: str) -> list[Step]:
    """The things that ask one sign as steps of a test of that sign.

    Parameters
    ----------
    many : iterable of ReadAgain
        Of one person.
    sign : str
        Id of the sign.
    """
    asked = sorted((one for one in many if sign in one.looked), key=lambda one: one.at)
    return [Step(one.at, one.sign_misread(sign)) for one in asked]
