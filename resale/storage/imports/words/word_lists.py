"""The lists of words beside this file, read once: headings of columns, and names of kinds."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from functools import lru_cache
from itertools import pairwise
from pathlib import Path

from resale.garments.labels.label_key import label_key
from resale.garments.rulebook.rule_book import RuleBook
from resale.safety.child import child_guess, is_of_children

_HERE = Path(__file__).parent
_NONE, _STAYS = "none_of_these", "also_for_children"
# German and its kin write the thing last in one word: Lederjacke, damskor.
SHORTEST_TAIL = 4
_PLURALS = ("s", "es", "n", "en", "e")


def word_key(text: str) -> str:
    """Key of a heading or word: ``Betrag (€)``, ``BETRAG`` and ``betrag`` are the same."""
    return label_key(re.sub(r"\([^)]*\)|\[[^\]]*\]", " ", text)) or label_key(text)


@lru_cache(maxsize=1)
def usual_words() -> Mapping[str, tuple[str, ...]]:
    """Words that a column is headed with, by our column."""
    plain = tomllib.loads((_HERE / "headings.toml").read_text(encoding="utf-8"))
    return {column: tuple(words) for column, words in plain.items()}


@lru_cache(maxsize=1)
def headings_by_key() -> Mapping[str, tuple[str, int]]:
    """Our column by the key of a heading, and how far down in its list the word stands."""
    found: dict[str, tuple[str, int]] = {}
    for column, words in usual_words().items():
        for place, word in enumerate(words):
            found.setdefault(word_key(word), (column, place))
    return found


def kind_in_words(text: str, book: RuleBook) -> str | None:
    """Id of the one kind that words speak of; None where they name none, or several.

    Parameters
    ----------
    text : str
        Words of a cell, in any of the languages of the lists.
    book : RuleBook
        Whose own names count as well.

    Examples
    --------
    >>> from resale.garments.rulebook.rule_book import load_rule_book
    >>> book = load_rule_book()
    >>> [kind_in_words(text, book) for text in ("gents blazer", "Lederhandtasche", "jeans jacket")]
    ['jacket', 'bag', None]
    """
    names, none = _kind_words(_own_words(book)), _none_words()
    whole = word_key(text)
    if whole in names:
        return names[whole]
    words = [label_key(word) for word in re.findall(r"\w+", text)]
    pairs = [one + other for one, other in pairwise(words)]
    if none & {whole, *words, *pairs}:
        return None
    spoken = {kind for word in (*words, *pairs) if (kind := _one_word(word, names))}
    spoken = _for_whom(text, spoken, book)
    return next(iter(spoken)) if len(spoken) == 1 else None


def _for_whom(text: str, spoken: set[str], book: RuleBook) -> set[str]:
    """What is said to be a child's is children's wear, but for what keeps a kind of its own."""
    if not spoken or child_guess("", note=text).sure != "yes":
        return spoken
    children = {kind for kind in book.kinds if is_of_children(kind)}
    return spoken & set(_kinds_file()[_STAYS]) or children or spoken


def _one_word(word: str, names: Mapping[str, str]) -> str | None:
    forms = [word.removesuffix(end) for end in ("", *_PLURALS) if word.endswith(end)]
    tails = (form[start:] for form in forms for start in range(1, len(form) - SHORTEST_TAIL + 1))
    return next((names[one] for one in (*forms, *tails) if one in names), None)


def _own_words(book: RuleBook) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """What the book itself calls each kind."""
    return tuple(
        (kind.id, (kind.id, kind.text.name, kind.text.plural, *kind.text.includes))
        for kind in book.kinds.values()
    )


@lru_cache(maxsize=8)
def _kind_words(own: tuple[tuple[str, tuple[str, ...]], ...]) -> Mapping[str, str]:
    listed = _kinds_file()
    found: dict[str, str] = {}
    for kind, words in own:
        for word in (*words, *listed.get(kind, ())):
            found.setdefault(word_key(word), kind)
    return found


def kind_words() -> Mapping[str, list[str]]:
    """Words by which kinds go in the languages of the label reader, by id of the kind."""
    return {kind: words for kind, words in _kinds_file().items() if kind not in {_NONE, _STAYS}}


@lru_cache(maxsize=1)
def _none_words() -> frozenset[str]:
    return frozenset(map(word_key, _kinds_file()[_NONE]))


@lru_cache(maxsize=1)
def _kinds_file() -> Mapping[str, list[str]]:
    return tomllib.loads((_HERE / "kinds.toml").read_text(encoding="utf-8"))
