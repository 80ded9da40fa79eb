"""Question cards made from the rule book, so that a new rule is a new card."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from random import Random

from resale.garments.rulebook.rule_book import Kind, RuleBook
from resale.garments.rulebook.signals import Option, Signal
from resale.training.drawings.exercise import LEVELS, Answer, dice
from resale.training.practice.card_words import question, turned_round
from resale.training.practice.price_pairs import has_pairs, pairs
from resale.training.practice.schedule import Drill

_SECONDS = {"card_hands": 20.0, "card_fools": 20.0, "card_worth": 12.0, "card_zone": 8.0}
FAMILIES = tuple(_SECONDS)
FAMILY_NAMES = {
    "card_hands": "How to look",
    "card_fools": "What fools people",
    "card_worth": "Which brings more",
    "card_zone": "Where the hand is",
}


@dataclass(frozen=True, slots=True)
class Card:
    """A question in words with known truth; fields as in a drawn exercise.

    Attributes
    ----------
    answers : tuple of Answer
        In a drawn order.
    truth : str
        Id of the right answer.
    why : str
        The reason, shown after the answer.
    caution : str
        What to beware of with this signal; empty for most.
    """

    family: str
    level: int
    seed: int
    kind: str
    question: str
    answers: tuple[Answer, ...]
    truth: str
    why: str
    signal_ids: tuple[str, ...]
    zone: str
    caution: str = ""

    def is_right(self, reply: str) -> bool:
        """Say whether an answer's id is the right one."""
        return reply == self.truth


_found: dict[str, tuple[Drill, ...]] = {}


def card_drills(book: RuleBook) -> tuple[Drill, ...]:
    """List every card that the book can make, a drill for each family, level and signal."""
    found = _found.get(book.fingerprint)
    if found is None:
        found = tuple(_drills_of(book))
        # One book at a time: it takes a moment to see what a book can ask.
        _found.clear()
        _found[book.fingerprint] = found
    return found


def _drills_of(book: RuleBook) -> Iterator[Drill]:
    for family, seconds in _SECONDS.items():
        for sign in book.signal_ids:
            if all(_kinds_with(book, family, level, sign) for level in LEVELS):
                zone = next(k.by_id[sign].zone for k in book.kinds.values() if sign in k.by_id)
                for level in LEVELS:
                    yield Drill(family, level, sign, (sign,), zone, seconds)


def make_card(
    book: RuleBook, family: str, level: int, seed: int, *, about: str, kind: str = ""
) -> Card:
    """Make one card.

    Parameters
    ----------
    family : str
        One of `FAMILIES`.
    level : int
        1 to 3: wrong answers come from elsewhere on the item, from anywhere, from the same place;
        which brings more: far apart, close, between two signals.
    seed : int
        The same seed gives the same card.
    about : str
        Signal id.
    kind : str, optional
        Kind id; drawn among those that have the signal where omitted.

    Returns
    -------
    Card

    Raises
    ------
    ValueError
        If the book has no such card: see `card_drills`.
    """
    random = dice(f"{family}/{about}/{kind}", level, seed)
    kinds = [one for one in _kinds_with(book, family, level, about) if kind in {"", one.id}]
    if not kinds:
        of = f" of {kind}" if kind else ""
        raise ValueError(f"the rule book has no card {family}/{level}/{about}{of}")
    chosen = random.choice(kinds)
    signal = chosen.by_id[about]
    drawn = _FAMILIES[family].draw(book, chosen, signal, level, random)
    answers = list(drawn.answers)
    random.shuffle(answers)
    return Card(
        family,
        level,
        seed,
        chosen.id,
        drawn.question,
        tuple(answers),
        drawn.answers[0].id,
        drawn.why,
        drawn.signal_ids or (about,),
        signal.zone,
        signal.caution or "",
    )


@dataclass(frozen=True, slots=True)
class _Drawn:
    """A card before its answers are shuffled: the right answer stands first."""

    question: str
    answers: tuple[Answer, ...]
    why: str
    signal_ids: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Family:
    can: Callable[[Kind, Signal, int], bool]
    draw: Callable[[RuleBook, Kind, Signal, int, Random], _Drawn]


def _kinds_with(book: RuleBook, family: str, level: int, signal_id: str) -> list[Kind]:
    if family not in _FAMILIES:
        return []
    can = _FAMILIES[family].can
    return [
        kind
        for kind in book.kinds.values()
        if signal_id in kind.by_id and can(kind, kind.by_id[signal_id], level)
    ]


# ---------------------------------------------------------------- texts of the book
def _hands(book: RuleBook, kind: Kind, signal: Signal, level: int, random: Random) -> _Drawn:
    why = f"Then look for this: {_lower(signal.see)}"
    return _text_card("card_hands", (kind, signal), level, random, lambda one: one.hands, why)


def _fools(book: RuleBook, kind: Kind, signal: Signal, level: int, random: Random) -> _Drawn:
    why = f"What you look for: {_lower(signal.see)}"
    return _text_card("card_fools", (kind, signal), level, random, lambda one: one.fools, why)


def _text_card(
    family: str,
    of: tuple[Kind, Signal],
    level: int,
    random: Random,
    text_of: Callable[[Signal], str],
    why: str,
) -> _Drawn:
    """Ask for the text of a sign, or turned round for the sign of a text."""
    kind, signal = of
    turned = turned_round(random)
    asked = question(
        random,
        family,
        turned=turned,
        kind=kind.text.name,
        sign=_lower(signal.name),
        text=text_of(signal),
    )
    shown = (lambda one: one.name) if turned else text_of
    others = [one for one in kind.signals if text_of(one) != text_of(signal)]
    return _Drawn(asked, _answers(signal, others, level, random, shown), why)


def _answers(
    signal: Signal,
    others: list[Signal],
    level: int,
    random: Random,
    shown: Callable[[Signal], str],
) -> tuple[Answer, ...]:
    """Take what is shown of the signal first, then of other signals, no text twice."""
    random.shuffle(others)
    if level != 2:
        others.sort(key=lambda one: (one.zone == signal.zone) == (level == 1))
    chosen: dict[str, Signal] = {}
    for one in (signal, *others):
        chosen.setdefault(shown(one), one)
    wanted = 4 if level == 3 else 3
    return tuple(Answer(one.id, text) for text, one in list(chosen.items())[:wanted])


def _has_texts(kind: Kind, signal: Signal, level: int) -> bool:
    return len(kind.signals) >= 4


# ---------------------------------------------------------------- where the hand is
def _zone(book: RuleBook, kind: Kind, signal: Signal, level: int, random: Random) -> _Drawn:
    others = [zone for zone in _places(kind) if zone != signal.zone]
    random.shuffle(others)
    wanted = {1: 2, 2: 3}.get(level, len(others))
    names, turned = book.zone_names, turned_round(random)
    here = names[signal.zone]
    asked = question(
        random, "card_zone", turned=turned, kind=kind.text.name, sign=signal.name, text=here
    )
    answers = [Answer(zone, names[zone]) for zone in (signal.zone, *others[:wanted])]
    if turned:
        answers = _one_of_each(kind, signal, others[:wanted], random)
    return _Drawn(asked, tuple(answers), f"{here}. {signal.hands}")


def _one_of_each(kind: Kind, signal: Signal, zones: list[str], random: Random) -> list[Answer]:
    """The signal, and one of each of some other zones that has another name."""
    chosen = {signal.name: signal.id}
    for zone in zones:
        there = [one for one in kind.signals if one.zone == zone and one.name not in chosen]
        if there:
            one = random.choice(there)
            chosen[one.name] = one.id
    return [Answer(sign, name) for name, sign in chosen.items()]


def _has_zones(kind: Kind, signal: Signal, level: int) -> bool:
    places = _places(kind)
    # A third level needs more answers than the second.
    return signal.zone in places and len(places) >= 5


def _places(kind: Kind) -> list[str]:
    """Zones that are places: one that only gathers wear lies all over the item."""
    return [
        zone
        for zone, signals in kind.by_zone()
        if any(signal.about != "wear" for signal in signals)
    ]


# ---------------------------------------------------------------- which brings more
def _worth(book: RuleBook, kind: Kind, signal: Signal, level: int, random: Random) -> _Drawn:
    one, other, rival = random.choice(pairs(kind, signal, level))
    higher, lower = ((signal, one), (rival, other))
    if one.effect < other.effect:
        higher, lower = lower, higher
    times = higher[1].effect / lower[1].effect
    turned = turned_round(random)
    return _Drawn(
        question(random, "card_worth", turned=turned, kind=kind.text.name),
        tuple(
            Answer(f"{which.id}:{option.id}", f"{which.name}: {_lower(option.name)}")
            for which, option in ((lower, higher) if turned else (higher, lower))
        ),
        f"{_sentence(higher)} {_sentence(lower)} The rule book puts the first at {times:.2f} "
        "times the second; the shop's own sales may say otherwise.",
        tuple(dict.fromkeys((signal.id, rival.id))),
    )


def _sentence(row: tuple[Signal, Option]) -> str:
    signal, option = row
    return f"{signal.name}, {_lower(option.name)} ({option.effect:.2f}): {option.reason}"


def _lower(text: str) -> str:
    """Begin inside a sentence, unless the first word is all capitals."""
    shout = text[1:2].isalpha() and text[:2].isupper()
    return text if shout else text[:1].lower() + text[1:]


_FAMILIES = {
    "card_hands": _Family(_has_texts, _hands),
    "card_fools": _Family(_has_texts, _fools),
    "card_worth": _Family(has_pairs, _worth),
    "card_zone": _Family(_has_zones, _zone),
}
