"""Where somebody stands on the way to working alone, in words that a shop's people use."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from resale.services.training.alone import KindStanding, PersonStanding
from resale.training.oversight.alone_rule import REST, Rule, Standing
from resale.training.oversight.read_again import SignCost, costs_by_sign
from resale.training.oversight.switching import Switching

WIDE, HIGH = 320, 120
"""The corridor, in units of its drawing."""


@dataclass(frozen=True, slots=True)
class Corridor:
    """The test as a drawing: two lines that rise, and a path that has to come out below.

    Attributes
    ----------
    lower, upper, path : str
        Points of lines.
    things, misread : int
        Where the two axes end.
    """

    lower: str
    upper: str
    path: str
    things: int
    misread: int


@dataclass(frozen=True, slots=True)
class KindShown:
    """One kind of one person, with its sentence."""

    standing: KindStanding
    word: str
    why: str
    corridor: Corridor | None


def rule_sentence(rule: Rule) -> str:
    """Say the rule with its two error rates.

    Parameters
    ----------
    rule : Rule

    Examples
    --------
    >>> print(rule_sentence(Rule(0.05, 0.20, 0.10, 0.05)))
    Whoever misreads 1 thing in 20 should work alone; whoever misreads 1 in 5 should not. The rule\
 ever lets such a one work alone in at most 1 case in 20, and one test holds a good one back in 1\
 of 10.
    """
    good, bad = _one_in(rule.good), _one_in(rule.bad)
    return (
        f"Whoever misreads {good.replace(' in', ' thing in')} should work alone; whoever misreads "
        f"{bad} should not. The rule ever lets such a one work alone in at most "
        f"{_one_in(rule.let_alone).replace(' in', ' case in')}, and one test holds a good one back "
        f"in {_one_in(rule.held_back).replace(' in', ' of')}."
    )


def _one_in(share: float) -> str:
    near = Fraction(share).limit_denominator(20)
    return f"{near.numerator} in {near.denominator}"


def kinds_shown(person: PersonStanding) -> tuple[KindShown, ...]:
    """Each kind with a word, a reason and the drawing of its test."""
    return tuple(
        KindShown(one, *_word(one, person.switching), _corridor(one.test)) for one in person.kinds
    )


def _word(one: KindStanding, now: Switching) -> tuple[str, str]:
    """A word for where a kind stands, and why."""
    test = one.test
    seen = f"{test.misread} of {test.read} things read again were misread"
    if one.alone and one.word:
        plan = f"The {now.state} plan of second looks holds: {now.why}."
        return "works alone", f"{one.word.by_whom} said so: {one.word.why}. {plan}"
    if one.ended:
        return "reading together", f"Working alone ended: {now.why}. {_then(test, seen)}"
    if one.word and not one.word.alone and not test.read:
        return "reading together", f"{one.word.by_whom} said so: {one.word.why}."
    if test.state == "passed" and one.stopped:
        held = " and ".join(
            f"{sign.name.lower()} ({sign.test.misread} of {sign.test.read})"
            for sign in one.stopped[:2]
        )
        return "not yet", f"{seen}, but one sign still costs too much too often: {held}."
    if one.may:
        return "can work alone", f"{seen}. A lead may say so."
    return ("look at it together" if test.state == "stopped" else "not yet"), _then(test, seen)


def _then(test: Standing, seen: str) -> str:
    """What was seen, and what would decide it."""
    if not test.read:
        return "Nothing read again counts yet."
    if test.state == "stopped":
        tail = f"What is read {REST.days} days after that counts for the next test."
        return f"{seen}, more than can be let go. Practise first. {tail}"
    if test.state == "passed":
        return f"{seen}."
    more = test.wanted
    return f"{seen}. {more} more without a misread one would do."


def _corridor(test: Standing) -> Corridor | None:
    """Draw the lines as far as the path goes, and to where it would pass at the earliest."""
    if not test.read:
        return None
    rule = test.rule
    things = max(test.read, rule.wanted(test.misread), rule.first_pass)
    misread = max(test.misread + 1, rule.stop_at(things // 2))

    def at(x: float, y: float) -> str:
        inside = min(max(y, 0.0), misread)
        return f"{WIDE * x / things:.1f},{HIGH - HIGH * inside / misread:.1f}"

    start = rule.lower / rule.slope
    lower = f"{at(start, 0)} {at(things, rule.slope * things - rule.lower)}"
    end = min(things, (misread - rule.upper) / rule.slope)
    upper = f"{at(0, rule.upper)} {at(end, rule.slope * end + rule.upper)}"
    path = " ".join([at(0, 0), *(at(n, count) for n, count in enumerate(test.path, start=1))])
    return Corridor(lower, upper, path, things, misread)


@dataclass(frozen=True, slots=True)
class DeskLine:
    """One person's work at the desk in a line.

    Attributes
    ----------
    alone, may : tuple of str
        Kinds with which they work alone, and could be let.
    dearest : SignCost or None
        The sign that costs most.
    """

    alone: tuple[str, ...]
    may: tuple[str, ...]
    dearest: SignCost | None


def desk_line(person: PersonStanding) -> DeskLine:
    """What real work says of somebody, for the list of all."""
    dear = costs_of(person, most=1).signs if person.things else ()
    return DeskLine(
        tuple(one.name.lower() for one in person.kinds if one.alone),
        tuple(one.name.lower() for one in person.kinds if one.may),
        dear[0] if dear else None,
    )


@dataclass(frozen=True, slots=True)
class Costs:
    """What somebody's readings cost in a hundred things, whole and by sign.

    Attributes
    ----------
    misread, passed_over, accepted, untold : float
        Minor units by which prices were off: misread signs, signs never looked at, answers
        accepted as usual, and signs that could not be told.
    signs : tuple of SignCost
        The dearest, those that cost anything.
    """

    things: int
    misread: float
    passed_over: float
    accepted: float
    untold: float
    signs: tuple[SignCost, ...]


def costs_of(person: PersonStanding, most: int = 8) -> Costs:
    """Add up what somebody's readings cost.

    Parameters
    ----------
    person : PersonStanding
    most : int
        Signs named one by one.
    """
    signs: Sequence[SignCost] = costs_by_sign(person.things)
    return Costs(
        len(person.things),
        sum(one.misread_money for one in signs),
        sum(one.passed_money for one in signs),
        sum(one.accepted_money for one in signs),
        sum(one.untold_money for one in signs),
        tuple(one for one in signs if one.money > 0)[:most],
    )
