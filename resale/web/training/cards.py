"""A card as it stands on the screen: drawn or in words, asked alike and judged alike."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from html import unescape

from resale.errors import ReadingError
from resale.garments.rulebook.rule_book import RuleBook
from resale.training.drawings.exercise import Answer, Exercise
from resale.training.drawings.families import FAMILIES, drawn_as, make
from resale.training.practice.cards import FAMILIES as CARDS
from resale.training.practice.cards import FAMILY_NAMES, Card, card_drills, make_card
from resale.training.practice.drawn_drills import drawn_drills
from resale.training.practice.photo_cards import FAMILY as PHOTO
from resale.training.practice.photo_cards import FAMILY_NAME as PHOTO_NAME
from resale.training.practice.photo_cards import PhotoTaught, photo_card
from resale.training.practice.schedule import Drill
from resale.training.practice.session import Planned

_NUMBER = re.compile(r"\d{1,6}([.,]\d{1,4})?")


@dataclass(frozen=True, slots=True)
class DrillQuestion:
    """One question on the screen.

    Attributes
    ----------
    name : str
        Of the family.
    alt, shown_alt : str
        The drawing in words, before and after; empty for a card in words.
    height : float
        Of the picture where it is 360 wide; 0 for a card in words.
    photo : int
        Number of the photo; 0 where it is none.
    unit : str
        Unit of a number; the answers are then empty.
    """

    name: str
    question: str
    answers: tuple[Answer, ...]
    truth: str
    why: str
    signal_ids: tuple[str, ...]
    zone: str
    unit: str = ""
    tolerance: float = 0.0
    caution: str = ""
    alt: str = ""
    shown_alt: str = ""
    height: float = 0.0
    photo: int = 0

    @property
    def asks_number(self) -> bool:
        """Whether a number is asked for."""
        return not self.answers

    @property
    def long_answers(self) -> bool:
        """Whether the answers are sentences rather than words."""
        return any(len(one.text) > 40 for one in self.answers)

    def in_words(self, answer: str) -> str:
        """Say an answer as it reads on the screen."""
        if self.asks_number:
            return f"{answer}{' ' if self.unit != '%' else ''}{self.unit}"
        return next((one.text for one in self.answers if one.id == answer), answer)

    @property
    def truth_in_words(self) -> str:
        """Say the right answer, with how far a number may be off."""
        if not self.tolerance:
            return self.in_words(self.truth)
        return f"{self.in_words(self.truth)} (within {self.tolerance:g} counts as right)"

    def taken(self, text: str) -> str:
        """Give the answer that was sent in its plain form.

        Raises
        ------
        ReadingError
            If it is none of the answers, or no number where one is asked for.
        """
        plain = " ".join(text.split())
        if self.asks_number:
            if not _NUMBER.fullmatch(plain):
                raise ReadingError(
                    f"{plain[:20]!r} is not a number" if plain else "no number was written",
                    remedy=f"write a number of {self.unit or 'them'}, such as 12",
                )
            return f"{float(plain.replace(',', '.')):g}"
        if plain not in {one.id for one in self.answers}:
            raise ReadingError("this card has no such answer", remedy="choose one of those it has")
        return plain

    def is_right(self, answer: str) -> bool:
        """Judge an answer in its plain form."""
        if self.asks_number:
            return abs(float(answer) - float(self.truth)) <= self.tolerance + 1e-9
        return answer == self.truth


def drill_question(book: RuleBook, planned: Planned) -> DrillQuestion:
    """Make the card of a place in a session.

    Parameters
    ----------
    book : RuleBook
        The rule book in use.
    planned : Planned
        A drill with the seed that makes its card.

    Raises
    ------
    ReadingError
        If the rule book no longer has what the card asks.
    """
    drill = planned.drill
    if drill.family in CARDS:
        try:
            card = make_card(book, drill.family, drill.level, planned.seed, about=drill.about)
        except ValueError:
            raise _gone() from None
        return _in_words_only(FAMILY_NAMES[drill.family], card)
    return _drawn(make(drill.family, drill.level, planned.seed))


@dataclass(frozen=True, slots=True)
class TakenFor:
    """What the answer that was given would look like, beside what is there."""

    answer: str
    text: str
    alt: str
    why: str


def taken_for(planned: Planned, answer: str) -> TakenFor | None:
    """Draw a wrong answer beside the right one; None where no picture can show it.

    Parameters
    ----------
    planned : Planned
        The card.
    answer : str
        Id of the answer that was given.
    """
    drill = planned.drill
    if drill.family not in FAMILIES:
        return None
    try:
        other = drawn_as(drill.family, drill.level, planned.seed, answer)
    except ReadingError:
        return None
    if other.truth != answer:
        return None
    text = next(one.text for one in other.answers if one.id == answer)
    return TakenFor(answer, text, _in_words(other.reveal_svg), other.why)


def photo_question(book: RuleBook, photo: PhotoTaught, width: int, height: int) -> DrillQuestion:
    """Make the card of a photo of that size.

    Parameters
    ----------
    book : RuleBook
        The rule book in use.
    photo : PhotoTaught
        A photo that teaches.
    width, height : int
        Of the picture (pixels).

    Raises
    ------
    ReadingError
        If the rule book no longer has what the photo shows.
    """
    try:
        card = photo_card(book, photo)
    except ValueError:
        raise _gone() from None
    name = book.kinds[card.kind].text.name
    zone = book.zone_names.get(card.zone, card.zone)
    return replace(
        _in_words_only(PHOTO_NAME, card),
        alt=f"A photo of one of our own items: {name.lower()}, {zone.lower()}.",
        shown_alt=f"The same photo. It shows: {card.why}",
        height=round(360 * height / width, 1),
        photo=photo.id,
    )


def _in_words_only(name: str, card: Card) -> DrillQuestion:
    return DrillQuestion(
        name,
        card.question,
        card.answers,
        card.truth,
        card.why,
        card.signal_ids,
        card.zone,
        caution=card.caution,
    )


def _gone() -> ReadingError:
    """Say that the rule book was changed since the session was chosen."""
    return ReadingError(
        "the rule book no longer has what this card asks", remedy="start a new session"
    )


def _drawn(exercise: Exercise) -> DrillQuestion:
    truth = exercise.truth
    return DrillQuestion(
        FAMILIES[exercise.family].name,
        exercise.question,
        exercise.answers,
        truth if isinstance(truth, str) else f"{truth:g}",
        exercise.why,
        exercise.signal_ids,
        exercise.zone,
        exercise.unit,
        exercise.tolerance,
        exercise.caution,
        _in_words(exercise.svg),
        _in_words(exercise.reveal_svg),
        float(re.findall(r'viewBox="0 0 \d+ ([\d.]+)"', exercise.svg)[0]),
    )


def _in_words(svg: str) -> str:
    """Title and description of a drawing: an image on a page cannot show its own."""
    found = re.findall(r"<(?:title|desc)[^>]*>(.*?)</", svg, re.S)[:2]
    return ". ".join(unescape(one).rstrip(".") for one in found) + "."


def all_drills(book: RuleBook) -> tuple[Drill, ...]:
    """Drawings and the cards that the book can make."""
    return (*drawn_drills(), *card_drills(book))


def drill_name(book: RuleBook, drill: Drill) -> str:
    """Name a drill for a reader.

    Parameters
    ----------
    book : RuleBook
        The rule book in use.
    drill : Drill
        A drill of a card or of a drawing.
    """
    names = {**FAMILY_NAMES, PHOTO: PHOTO_NAME}
    if drill.family in names:
        return f"{names[drill.family]}: {signal_name(book, drill.about).lower()}"
    family = FAMILIES.get(drill.family)
    return family.name if family else drill.family


def signal_name(book: RuleBook, signal_id: str) -> str:
    """Name a signal of whichever kind has it.

    Parameters
    ----------
    book : RuleBook
        The rule book in use.
    signal_id : str
    """
    kinds = book.kinds.values()
    return next(
        (kind.by_id[signal_id].name for kind in kinds if signal_id in kind.by_id), signal_id
    )
