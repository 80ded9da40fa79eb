"""Which kinds the first screen shows: those a shop sees most, and what was typed.

A shop sees a few kinds all day and twenty now and then. The first have a tile and a key, the rest
stand behind one line, and typing finds any of them, in any language that files are read in.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from resale.garments.fibres.names import fold
from resale.garments.rulebook.rule_book import Kind
from resale.storage.imports.words.word_lists import kind_words

# As many as there are keys from 1 to 9, less those that would begin a row of their own.
SHOWN = 6


@dataclass(frozen=True)
class KindsShown:
    """The kinds in the order of the screen.

    Attributes
    ----------
    first, rest : tuple of Kind
        Tiles at once, and tiles behind *More kinds*.
    words : mapping of kind id to str
        Everything by which a kind is found, folded.
    typed : str
    """

    first: tuple[Kind, ...]
    rest: tuple[Kind, ...]
    words: Mapping[str, str]
    typed: str = ""


def kinds_shown(kinds: Iterable[Kind], seen: Mapping[str, int], typed: str = "") -> KindsShown:
    """Order the kinds by how often the shop has them, or find those that were typed.

    Parameters
    ----------
    kinds : iterable of Kind
    seen : mapping of kind id to int
        How many the shop has had of each.
    typed : str
        Words that begin words of a kind: those kinds are found that go by most of them, so that a
        cloth or a colour typed with it hides nothing, and among these those that have most of them
        as whole words: a suit is no suitcase. Empty for all kinds.

    Returns
    -------
    KindsShown
    """
    order = sorted(kinds, key=lambda kind: (-seen.get(kind.id, 0), -kind.text.of_hundred))
    words = {kind.id: _words(kind) for kind in order}
    if typed.strip():
        met = {kind.id: _met(words[kind.id], typed) for kind in order}
        most = max(met.values())
        found = tuple(kind for kind in order if most[0] and met[kind.id] == most)
        return KindsShown(found, (), words, typed)
    return KindsShown(tuple(order[:SHOWN]), tuple(order[SHOWN:]), words)


def _words(kind: Kind) -> str:
    text = kind.text
    said = (text.name, text.plural, *text.includes, *kind_words().get(kind.id, ()))
    return " ".join(dict.fromkeys(fold(" ".join(said)).split()))


def _met(words: str, typed: str) -> tuple[int, int]:
    """How many of the words that were typed begin one of a kind's, and how many are one."""
    parts = fold(typed).split()
    begun = sum(f" {part}" in f" {words}" for part in parts)
    return begun, sum(f" {part} " in f" {words} " for part in parts)
