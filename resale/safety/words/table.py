"""The table of words that must not pass, read and folded once."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import Any, Literal

from resale.garments.fibres.names import fold

_FILE = Path(__file__).with_name("words.toml")
_WORD = re.compile(r"[^\W_]+")
_APOSTROPHES = str.maketrans("'’‘`´", "     ")
_JOINING = ("de", "nl", "sv")

Strength = Literal["says", "names", "weak"]


@dataclass(frozen=True, slots=True)
class Phrase:
    """Words that raise a hold, folded, small words left out.

    Attributes
    ----------
    strength : {'says', 'names', 'weak'}
        Whether they raise by themselves, unless a picture or an imitation is meant, or only
        beside a part that could be made of it.
    child : bool
        Whether they count only where the thing may be a child's.
    unless : frozenset of str
        Words near them that make them harmless.
    short : bool
        A short name in one of many languages: in a note too likely to be another word.
    """

    words: tuple[str, ...]
    hold: str
    strength: Strength
    child: bool = False
    unless: frozenset[str] = frozenset()
    short: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """All phrases by their first word, and the words around a name that change it.

    Attributes
    ----------
    stems : dict of str to hold id
        First or last parts that raise whatever they are joined to.
    joined : dict of str to hold id
        Names of languages that join words: they raise joined to a part that is made of them.
    """

    phrases: dict[str, tuple[Phrase, ...]]
    stems: dict[str, str]
    joined: dict[str, str]
    around: dict[str, frozenset[str]]
    spelled: frozenset[str]
    harmless: tuple[tuple[str, ...], ...]


@cache
def _file() -> dict[str, Any]:
    return tomllib.loads(_FILE.read_text(encoding="utf-8"))


@lru_cache(maxsize=4096)
def cut_words(text: str) -> tuple[str, ...]:
    """Cut a clause into folded words, small ones left out.

    Examples
    --------
    >>> cut_words("Boîte d'écaille de tortue")
    ('boite', 'ecaille', 'tortue')
    """
    found = _WORD.findall(fold(text.translate(_APOSTROPHES)))
    small = _file()["around"]["small"]
    return tuple(word for word in found if word not in small)


def _phrases(rows: list[dict[str, Any]]) -> Iterator[Phrase]:
    strengths: tuple[Strength, ...] = ("says", "names", "weak")
    for row in rows:
        unless = frozenset(fold(word) for word in row.get("except", []))
        for strength in strengths:
            for language, texts in row.get(strength, {}).items():
                for text in texts:
                    words = cut_words(text)
                    short = language != "en" and sum(map(len, words)) <= 4
                    child = bool(row.get("child"))
                    yield Phrase(words, row["hold"], strength, child, unless, short)
                    if len(words) == 2 and min(map(len, words)) >= 3:
                        # 'Razorblade' and 'razor blade' are one word to whoever writes it.
                        joined = ("".join(words),)
                        yield Phrase(joined, row["hold"], strength, child, unless, short)


@cache
def shipped_table() -> Table:
    """Read the table that comes with the program."""
    raw = _file()
    phrases: dict[str, dict[Phrase, None]] = {}
    for phrase in _phrases(raw["word"]):
        phrases.setdefault(phrase.words[0], {})[phrase] = None
    around = {
        name: frozenset(fold(word) for word in words) for name, words in raw["around"].items()
    }
    joined = {
        fold(text): row["hold"]
        for row in raw["word"]
        for language in _JOINING
        for text in row.get("names", {}).get(language, [])
        if len(text) >= 4
    }
    harmless = [cut_words(text) for text in raw["around"]["harmless"]]
    said = {word for found in phrases.values() for phrase in found for word in phrase.words}
    return Table(
        phrases={first: tuple(found) for first, found in phrases.items()},
        stems={fold(stem): row["hold"] for row in raw["word"] for stem in row.get("stems", [])},
        joined=joined,
        around=around,
        spelled=frozenset(said),
        harmless=tuple(harmless),
    )
