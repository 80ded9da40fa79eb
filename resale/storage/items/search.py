"""Finding items by what somebody types: parts of words, words spelt wrongly, and days."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from rapidfuzz import process
from rapidfuzz.distance import OSA
from sqlalchemy import ColumnElement, and_, or_, select
from sqlalchemy.orm import Session

from resale.errors import ReadingError
from resale.storage.db.tables import ItemRow, ItemWord, SearchWord
from resale.storage.db.text_search import contains
from resale.storage.db.utc import stored
from resale.storage.imports.cells.dates import DayStyle, First, read_messy_day
from resale.storage.items.search_words import words_in

MOST_WORDS = 8
# So many slips of the keys a word may have, by its length; short words are too alike for any.
SLIPS = ((8, 2), (4, 1))
_NEAR = 8
# Signs that make no word are looked for as they are.
_TEXTS = (ItemRow.number, ItemRow.label, ItemRow.size, ItemRow.note)


@dataclass(frozen=True)
class Found:
    """What was made of the words that were typed.

    Attributes
    ----------
    conditions : tuple of condition
        Each has to hold of an item.
    instead : tuple of (str, str)
        Words that nothing goes by, each with those that were taken for it.
    days : tuple of date
        Days that were typed, both where one could be two.
    """

    conditions: tuple[ColumnElement[bool], ...]
    instead: tuple[tuple[str, str], ...] = ()
    days: tuple[date, ...] = ()


def found_by(session: Session, typed: str, today: date) -> Found:
    """Turn what was typed into conditions on items.

    Parameters
    ----------
    session : Session
    typed : str
        Words, each of which is part of a word of the item; or days, on which it came in.
    today : date
        By which years of two figures are read.
    """
    conditions: list[ColumnElement[bool]] = []
    instead: list[tuple[str, str]] = []
    days: list[date] = []
    for text in typed.split()[:MOST_WORDS]:
        meant = _days(text, today)
        if meant:
            days += meant
            conditions.append(or_(*(on_days(day, day) for day in meant)))
            continue
        words = list(words_in(text))
        if not words:
            conditions.append(or_(*(contains(column, text) for column in _TEXTS)))
            continue
        near = _near(session, words[0])
        if near:
            instead.append((text, ", ".join(near)))
        conditions.append(_has(words[0], near))
    return Found(tuple(conditions), tuple(instead), tuple(days))


def on_days(first: date | None, last: date | None) -> ColumnElement[bool]:
    """Condition that an item was saved from one day to another, both among them.

    Parameters
    ----------
    first, last : date or None
        In the shop's zone; None for no end.
    """
    parts = []
    if first is not None:
        parts.append(ItemRow.made_at >= _begins(first))
    if last is not None:
        parts.append(ItemRow.made_at < _begins(last + timedelta(days=1)))
    return and_(*parts)


def _begins(day: date) -> datetime:
    return stored(datetime.combine(day, time()).astimezone())


def _has(word: str, near: tuple[str, ...]) -> ColumnElement[bool]:
    if word.isdecimal():
        # A size or a number is meant whole: 2 is not in 52.
        near = (word,)
    own = SearchWord.word.in_(near) if near else SearchWord.word.contains(word, autoescape=True)
    # The words first: joined, a database may go through the words of all items.
    meant = select(SearchWord.id).where(own)
    return ItemRow.id.in_(select(ItemWord.item_id).where(ItemWord.word_id.in_(meant)))


def _near(session: Session, word: str) -> tuple[str, ...]:
    """Words of the shop that a word may have been meant for, where nothing goes by it."""
    slips = next((most for least, most in SLIPS if len(word) >= least), 0)
    known = select(SearchWord.id).where(SearchWord.word.contains(word, autoescape=True)).limit(1)
    if not slips or word.isdecimal() or session.scalar(known) is not None:
        return ()
    every = session.scalars(select(SearchWord.word)).all()
    found = process.extract(
        word, every, scorer=OSA.distance, score_cutoff=slips, limit=_NEAR, processor=None
    )
    least = min((distance for _, distance, _ in found), default=0)
    return tuple(near for near, distance, _ in found if distance == least)


def _days(text: str, today: date) -> tuple[date, ...]:
    """Days that a word may mean: none for what is no day, both where it could be two."""
    digits = sum(sign.isdigit() for sign in text)
    if digits < 4 or not text[:1].isdigit() or not any(sign in text for sign in "-./"):
        return ()
    found = set()
    orders: tuple[First, First] = ("day", "month")
    for first in orders:
        try:
            found.add(read_messy_day(text, DayStyle.of([text], first), today))
        except ReadingError:
            continue
    return tuple(sorted(found))
