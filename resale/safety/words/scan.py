"""Find the words that must not pass in what was written about an item, and the holds they raise.

What stands on a label is a material until it says otherwise; what stands in a note may be a
picture or a colour. A 'no' denies what it stands before and what it runs through, never more: a
hold too many costs a lead a minute, one too few can hurt.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from resale.safety.words.spelling import near_words
from resale.safety.words.table import Phrase, Table, cut_words, shipped_table

_CLAUSE = re.compile(r"[.;,!?()\[\]\n/|]+(?!\d)|\b(?:but|aber|mais|pero|ma)\b", re.IGNORECASE)
# How far a phrase may be spread, how far a qualifier reaches, and how far an exception does.
_GAP, _BEFORE, _NEAR = 2, 2, 3
_IN = frozenset(["in", "inside", "en", "dans", "nella", "dentro", "drin"])
_JOINTS = ("", "s", "n", "en", "es", "er", "e")


@dataclass(frozen=True, slots=True)
class WordFound:
    """A word that raises a hold.

    Attributes
    ----------
    hold : str
    shown : str
        The word of the table, as one reads it there.
    child : bool
        Whether it counts only where the thing may be a child's.
    """

    hold: str
    shown: str
    child: bool = False


@lru_cache(maxsize=2048)
def words_that_raise(text: str, *, is_label: bool = False) -> tuple[WordFound, ...]:
    """Find what raises a hold in one text.

    Parameters
    ----------
    text : str
        A note, or what a label says, in any of the languages of the fibre table.
    is_label : bool
        Whether it is a label: there an animal's name is a material.

    Returns
    -------
    tuple of WordFound
        Each hold once for each word, in the order of the text.

    Examples
    --------
    >>> [one.hold for one in words_that_raise("racoon collar, fox logo on the chest")]
    ['unknown_fur']
    >>> words_that_raise("faux fur, mink-coloured, no moth")
    ()
    """
    table = shipped_table()
    found: dict[WordFound, None] = {}
    for clause in _CLAUSE.split(text):
        words = _without_harmless(cut_words(clause), table)
        for one in _in_clause(words, table, is_label=is_label):
            found[one] = None
    return tuple(found)


def _without_harmless(words: tuple[str, ...], table: Table) -> tuple[str, ...]:
    """Put a blank where an ordinary phrase stands that only looks like one of ours."""
    remaining = list(words)
    for phrase in table.harmless:
        for place in range(len(remaining) - len(phrase) + 1):
            if tuple(remaining[place : place + len(phrase)]) == phrase:
                remaining[place : place + len(phrase)] = ["."] * len(phrase)
    return tuple(remaining)


def _in_clause(words: Sequence[str], table: Table, *, is_label: bool) -> Iterator[WordFound]:
    meant = [near_words(word) for word in words]
    for place, word in enumerate(words):
        for first in meant[place]:
            for phrase in table.phrases.get(first, ()):
                end = _end_of(phrase, meant, place)
                exact = word == first or len(phrase.words) > 1
                if end is not None and _counts(
                    phrase, words, place, end, table, is_label=is_label, is_exact=exact
                ):
                    yield WordFound(phrase.hold, " ".join(phrase.words), phrase.child)
        if (
            not meant[place]
            and (hold := _compound(word, table))
            and not _denied(words, place, table)
        ):
            yield WordFound(hold, word)


def _end_of(phrase: Phrase, meant: Sequence[tuple[str, ...]], place: int) -> int | None:
    """Place of a phrase's last word, if all follow in order and near enough."""
    gap = 0 if _IN & set(phrase.words) else _GAP
    for wanted in phrase.words[1:]:
        reach = range(place + 1, min(place + 2 + gap, len(meant)))
        after = next((near for near in reach if wanted in meant[near]), None)
        if after is None:
            return None
        gap -= after - place - 1
        place = after
    return place


def _counts(
    phrase: Phrase,
    words: Sequence[str],
    place: int,
    end: int,
    table: Table,
    *,
    is_label: bool,
    is_exact: bool,
) -> bool:
    """Whether a phrase that stands there means what it says."""
    near = set(words[max(0, place - _NEAR) : place]) | set(words[end + 1 : end + 1 + _NEAR])
    if phrase.unless & near or _denied(words, place, table, end):
        return False
    if phrase.strength == "says":
        return is_exact or len(phrase.words[0]) >= 6
    beside = set(words[max(0, place - _BEFORE) : place]) | set(words[end + 1 : end + 1 + _BEFORE])
    backed = bool(beside & (table.around["things"] | table.around["genuine"])) or is_label
    if _is_pictured(words, place, end, table):
        return False
    needs_backing = phrase.strength == "weak" or phrase.short
    needs_backing |= not is_exact and len(phrase.words[0]) < 6
    return backed or not needs_backing


def _denied(words: Sequence[str], place: int, table: Table, end: int | None = None) -> bool:
    """Whether a 'no' runs up to it, or a 'none' stands right behind."""
    last = place if end is None else end
    if last + 1 < len(words) and words[last + 1] in table.around["no_after"]:
        return True
    for before in range(place - 1, -1, -1):
        word = words[before]
        if word in table.around["no"]:
            return True
        if not (word in table.around["through"] or near_words(word)):
            return False
    return False


def _is_pictured(words: Sequence[str], place: int, end: int, table: Table) -> bool:
    """Whether a name is a picture, a colour, a print or an imitation here."""
    around = table.around
    if place and words[place - 1] in around["genuine"]:
        return False
    if set(words[max(0, place - _BEFORE) : place]) & around["before"]:
        return True
    after = words[end + 1] if end + 1 < len(words) else ""
    if after in around["colours"]:
        return not set(words[end + 2 : end + 4]) & around["things"]
    # 'Mink fur look', 'fox head logo': the next word but one, where the one between is a part.
    further = words[end + 2] if end + 2 < len(words) and after in around["things"] else ""
    return bool({after, further} & around["after"])


def _compound(word: str, table: Table) -> str | None:
    """Find the hold of a word joined from a stem and something else, as German and Dutch do."""
    around = table.around
    for stem, hold in {**table.joined, **table.stems}.items():
        if word.startswith(stem):
            rest = word[len(stem) :]
            if any(rest == joint + tail for joint in _JOINTS for tail in around["joined_after"]):
                return None
            part = any(rest == joint + tail for joint in _JOINTS for tail in around["things"])
            if part or (stem in table.stems and (len(rest) >= 3 or rest in _JOINTS)):
                return hold
        if word.endswith(stem) and stem in table.stems:
            head = word[: -len(stem)]
            return None if any(head.startswith(one) for one in around["joined_before"]) else hold
    return None
