"""Question cards from a shop's own photos that a lead found good for teaching."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from resale.garments.rulebook.rule_book import RuleBook
from resale.garments.rulebook.signals import Signal
from resale.training.drawings.exercise import Answer, dice
from resale.training.practice.cards import Card
from resale.training.practice.schedule import Drill, Progress

FAMILY, FAMILY_NAME = "card_photo", "From our own items"
LEVEL = 1
SECONDS = 15.0
MOST_ANSWERS = 6


@dataclass(frozen=True, slots=True)
class PhotoTaught:
    """What a photo shows, and the right answer.

    Attributes
    ----------
    id : int
        Stands for the seed of a card: the same number is the same photo.
    """

    id: int
    kind: str
    signal: str
    option: str


def photo_drills(book: RuleBook, photos: Iterable[PhotoTaught]) -> tuple[Drill, ...]:
    """List what can be practised on photos: a drill for each sign that the book still has.

    Parameters
    ----------
    book : RuleBook
        The rule book in use.
    photos : iterable of PhotoTaught
        Photos that a lead let teach.
    """
    found = {}
    for photo in photos:
        signal = _signal(book, photo)
        if signal:
            found[signal.id] = _drill(signal)
    return tuple(found.values())


def photo_drills_met(book: RuleBook, progress: Progress) -> tuple[Drill, ...]:
    """List the drills on photos that somebody met, whether or not the photos are still kept.

    Parameters
    ----------
    book : RuleBook
        The rule book in use.
    progress : Progress
        What one person answered so far.
    """
    signals = {one.id: one for kind in book.kinds.values() for one in kind.signals}
    drills = [_drill(signals[one]) for one in signals]
    return tuple(drill for drill in drills if drill.key in progress.drills)


def photo_card(book: RuleBook, photo: PhotoTaught) -> Card:
    """Make the card of a photo.

    Parameters
    ----------
    book : RuleBook
        The rule book in use.
    photo : PhotoTaught
        A photo that teaches, with its sign and the right answer.

    Returns
    -------
    Card
        Answers in the order of the rule book; of many options the right one and some others.

    Raises
    ------
    ValueError
        If the book no longer has the sign or the answer.
    """
    signal = _signal(book, photo)
    if signal is None:
        raise ValueError(f"the rule book has no card for photo {photo.id}")
    others = [one for one in signal.options if one.id != photo.option]
    dice(FAMILY, LEVEL, photo.id).shuffle(others)
    offered = {photo.option, *(one.id for one in others[: MOST_ANSWERS - 1])}
    right = signal.option(photo.option)
    kind = book.kinds[photo.kind]
    return Card(
        FAMILY,
        LEVEL,
        photo.id,
        kind.id,
        f"{kind.text.name}, {signal.name}: which of these is it?",
        tuple(Answer(one.id, one.name) for one in signal.options if one.id in offered),
        photo.option,
        f"{right.name}: {right.reason} How to look: {signal.hands} {signal.see}",
        (signal.id,),
        signal.zone,
        signal.caution or "",
    )


def _signal(book: RuleBook, photo: PhotoTaught) -> Signal | None:
    kind = book.kinds.get(photo.kind)
    signal = kind.by_id.get(photo.signal) if kind else None
    return signal if signal and photo.option in signal.option_ids else None


def _drill(signal: Signal) -> Drill:
    return Drill(FAMILY, LEVEL, signal.id, (signal.id,), signal.zone, SECONDS)
