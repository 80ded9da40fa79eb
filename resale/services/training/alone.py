"""Who may work alone with what, by a stated rule, and a lead's word on it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from resale.errors import ReadingError
from resale.garments.rulebook.rule_book import Kind
from resale.services.actor import Actor
from resale.services.shop import Shop
from resale.services.training.read_twice import looked_back_to, read_twice
from resale.services.training.sampled import lots_of
from resale.services.transaction import transaction
from resale.storage.people.people import Person, people
from resale.storage.people.second_looks import samples
from resale.storage.people.working_alone import Word, add_word, words_on
from resale.training.oversight.alone_rule import Rule, Standing, standing
from resale.training.oversight.read_again import ReadAgain, steps_of, steps_of_sign
from resale.training.oversight.switching import Lot, Switching, switching


@dataclass(frozen=True, slots=True)
class SignStanding:
    """One sign of one person that is misread, or passed over, too often."""

    sign: str
    name: str
    test: Standing


@dataclass(frozen=True, slots=True)
class KindStanding:
    """One person with one kind.

    Attributes
    ----------
    test : Standing
        By money, over things of this kind.
    stopped : tuple of SignStanding
        Signs of this kind that hold the person back.
    word : Word or None
        The lead's, where there is one.
    ended : bool
        Whether failed days ended working alone since that word.
    """

    kind: str
    name: str
    test: Standing
    stopped: tuple[SignStanding, ...]
    word: Word | None
    ended: bool

    @property
    def alone(self) -> bool:
        """Whether second looks are drawn by the day's plan alone."""
        return self.word is not None and self.word.alone and not self.ended

    @property
    def may(self) -> bool:
        """Whether the rule lets a lead say so."""
        return not self.alone and self.test.state == "passed" and not self.stopped


@dataclass(frozen=True, slots=True)
class PersonStanding:
    """One person, over all kinds that were read again.

    Attributes
    ----------
    things : tuple of ReadAgain
        Of the shop's stated time, the oldest first.
    switching : Switching
        Which plan their days follow while they work alone.
    unread : int
        Of their days while alone, those whose sample nobody read whole.
    """

    person: Person
    rule: Rule
    kinds: tuple[KindStanding, ...]
    things: tuple[ReadAgain, ...]
    switching: Switching
    unread: int

    def kind(self, kind: str) -> KindStanding | None:
        """Where they stand with a kind; None where nothing of it was read again."""
        return next((one for one in self.kinds if one.kind == kind), None)

    @property
    def alone_with(self) -> frozenset[str]:
        """Kinds with which they work alone."""
        return frozenset(one.kind for one in self.kinds if one.alone)


def rule_of(shop: Shop) -> Rule:
    """The shop's stated rule for working alone."""
    terms = shop.settings
    return Rule(terms.alone_good, terms.alone_bad, terms.alone_held_back, terms.alone_risk)


def standings(shop: Shop) -> dict[str, PersonStanding]:
    """Where everybody who is no lead stands, by name."""
    rule, words = rule_of(shop), words_on(shop.records)
    start = looked_back_to(shop)
    since = min([start, *(one.at for by in words.values() for one in by.values())])
    every: dict[str, list[ReadAgain]] = {}
    for one in read_twice(shop, since):
        every.setdefault(one.reader, []).append(one)
    drawn = samples(shop.records, since.astimezone().date())
    found = {}
    for person in people(shop.records):
        if not person.may("lead"):
            mine = every.get(person.name, [])
            said = words.get(person.id, {})
            lots, unread = lots_of(person.name, drawn, mine, _alone_since(said))
            found[person.name] = _person(shop, person, mine, said, (rule, start, lots, unread))
    return found


def _alone_since(said: Mapping[str, Word]) -> datetime | None:
    """From when somebody worked alone, with whatever kind."""
    return min((one.at for one in said.values() if one.alone), default=None)


def _person(
    shop: Shop,
    person: Person,
    mine: Sequence[ReadAgain],
    said: Mapping[str, Word],
    given: tuple[Rule, datetime, Sequence[Lot], int],
) -> PersonStanding:
    rule, start, lots, unread = given
    now, ended = _plan_now(lots, [one.at.astimezone().date() for one in said.values() if one.alone])
    of_kind: dict[str, list[ReadAgain]] = {kind: [] for kind in said}
    for one in mine:
        of_kind.setdefault(one.kind, []).append(one)
    stopped = _stopped(shop, rule, mine)
    kinds = [
        _kind(shop.valued_kind(kind), things, said.get(kind), ended, (rule, stopped))
        for kind, things in of_kind.items()
        if kind in shop.book.kinds
    ]
    kinds.sort(key=lambda one: one.name)
    told = tuple(one for one in mine if one.at >= start)
    return PersonStanding(person, rule, tuple(kinds), told, now, unread)


def _plan_now(lots: Sequence[Lot], let: Sequence[date]) -> tuple[Switching, date | None]:
    """Which plan somebody's days follow, and the last day that ended working alone.

    Parameters
    ----------
    lots : sequence of Lot
        Their days, the oldest first.
    let : sequence of date
        When a lead let them work alone, for each kind that holds.
    """
    ended: date | None = None
    while True:
        now = switching(lot for lot in lots if ended is None or lot.day > ended)
        if now.state != "discontinued" or now.last is None:
            return now, ended
        ended = now.last
        if all(day <= ended for day in let):
            return now, ended


def _kind(
    kind: Kind,
    things: Sequence[ReadAgain],
    word: Word | None,
    ended: date | None,
    tests: tuple[Rule, Sequence[SignStanding]],
) -> KindStanding:
    """One kind of one person: the test counts what was read since it was last taken back."""
    rule, stopped = tests
    over = bool(word and word.alone and ended and word.at.astimezone().date() <= ended)
    counted = things
    if word and not word.alone:
        counted = [one for one in things if one.at > word.at]
    elif over and ended:
        counted = [one for one in things if one.at.astimezone().date() > ended]
    test = standing(rule, steps_of(counted))
    held = tuple(one for one in stopped if one.sign in kind.by_id)
    return KindStanding(kind.id, kind.text.name, test, held, word, over)


def _stopped(shop: Shop, rule: Rule, mine: Sequence[ReadAgain]) -> tuple[SignStanding, ...]:
    """Signs whose own test is stopped, the most often misread first."""
    signs = dict.fromkeys(sign for one in mine for sign in one.looked)
    names = {one.id: one.name for kind in shop.book.kinds.values() for one in kind.signals}
    found = [
        SignStanding(sign, names[sign], test)
        for sign in signs
        if (test := standing(rule, steps_of_sign(mine, sign))).state == "stopped"
    ]
    return tuple(sorted(found, key=lambda one: -one.test.misread / one.test.read))


def let_alone(shop: Shop, actor: Actor, person: Person, kind: str, at: datetime) -> None:
    """Let somebody work alone with a kind, if the rule lets a lead say so.

    Parameters
    ----------
    shop : Shop
    actor : Actor
        The lead.
    person : Person
    kind : str
        Id of the kind.
    at : datetime
        Now.

    Raises
    ------
    ReadingError
        If the test has not passed, or a sign holds the person back.
    """
    found = standings(shop).get(person.name)
    place = found.kind(kind) if found else None
    if place is None or not place.may:
        called = shop.valued_kind(kind).text.name
        raise ReadingError(
            f"the rule does not let {person.name} work alone with {called} yet",
            where="Working alone",
            remedy="read more of their things again; their page says how many",
        )
    test = place.test
    why = f"{test.misread} of {test.read} things misread"
    with transaction(shop.records, actor, at) as work:
        add_word(work.session, Word(person.id, kind, True, why, actor.name, at))
        work.log("let somebody work alone", person.name, kind=kind, why=why)


def read_together(
    shop: Shop, actor: Actor, person: Person, kind: str, why: str, at: datetime
) -> None:
    """Go back to reading somebody's things of a kind together; a lead may always say so.

    Parameters
    ----------
    shop : Shop
    actor : Actor
        The lead.
    person : Person
    kind : str
        Id of the kind.
    why : str
        In the lead's words; may be empty.
    at : datetime
        Now.
    """
    reason = " ".join(why.split())[:200] or "a lead's word"
    with transaction(shop.records, actor, at) as work:
        add_word(
            work.session, Word(person.id, shop.valued_kind(kind).id, False, reason, actor.name, at)
        )
        work.log("went back to reading together", person.name, kind=kind, why=reason)
