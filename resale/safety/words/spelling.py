"""Slips of the pen: which word of the table was meant, if the one that stands there is none.

A word that the rule book or the fibre table spells just so is no slip, however near it comes.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache, lru_cache

from rapidfuzz import process
from rapidfuzz.distance import OSA

from resale.garments.fibres.lexicon import LEXICON
from resale.garments.fibres.names import fold
from resale.garments.rulebook.rule_book import load_rule_book
from resale.safety.words.table import shipped_table

# One slip in a word of five letters or more, two in one of nine or more. Between short words a
# letter too often makes another word ('table', 'sable'), so they must be spelled right unless
# something else speaks for them; see `near_words`.
_LONG, _ONE, _TWO = 6, 1, 2
_TWO_FROM = 9


def near_words(word: str) -> tuple[str, ...]:
    """Words of the table that may be meant by one that stands in a note.

    Examples
    --------
    >>> near_words("racoon"), near_words("table"), near_words("rabbits")
    (('raccoon',), (), ('rabbit',))
    """
    known = shipped_table().spelled
    if word in known:
        return (word,)
    for ending in ("s", "es", "n", "en", "e"):
        if word.endswith(ending) and len(word) - len(ending) >= 4 and word[: -len(ending)] in known:
            return (word[: -len(ending)],)
    return () if word in ordinary_words() else _slips(word)


@lru_cache(maxsize=4096)
def _slips(word: str) -> tuple[str, ...]:
    if len(word) < _LONG - 2 or word.isdigit():
        return ()
    if len(word) < _LONG:
        swapped = _swapped().get("".join(sorted(word)), ())
        if meant := tuple(near for near in swapped if OSA.distance(word, near) == 1):
            return meant
    most = _TWO if len(word) >= _TWO_FROM else _ONE
    found = process.extract(word, _pool(), scorer=OSA.distance, score_cutoff=most, limit=None)
    return tuple(near for near, _, _ in found if near != word + "s")


@cache
def _swapped() -> dict[str, tuple[str, ...]]:
    """Short words by their letters: two that changed places are a slip at any length."""
    found: dict[str, tuple[str, ...]] = {}
    for word in sorted(shipped_table().spelled):
        key = "".join(sorted(word))
        found[key] = (*found.get(key, ()), word)
    return found


@cache
def _pool() -> tuple[str, ...]:
    return tuple(sorted(word for word in shipped_table().spelled if len(word) >= _LONG - 1))


@cache
def ordinary_words() -> frozenset[str]:
    """Words that the rule book, the fibre table or the table of harmless words spells like this."""
    harmless = (words[0] for words in shipped_table().harmless if len(words) == 1)
    fibres = (word for phrase in LEXICON for word in phrase)
    around = (word for words in shipped_table().around.values() for word in words)
    return frozenset((*_book_words(), *fibres, *around, *harmless)) - shipped_table().spelled


def _book_words() -> Iterator[str]:
    for kind in load_rule_book().kinds.values():
        for signal in kind.signals:
            texts = (signal.name, signal.hands, signal.see, signal.fools)
            answers = (text for one in signal.options for text in (one.name, one.reason))
            for text in (*texts, *answers):
                yield from re.findall(r"[^\W_]+", fold(text))
