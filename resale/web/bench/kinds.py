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
        Words, each of which has to begin a word of the kind's; empty for all kinds.

    Returns
    -------
    KindsShown
    """
    order = sorted(kinds, key=lambda kind: (-seen.get(kind.id, 0), -kind.text.of_hundred))
    words = {kind.id: _words(kind) for kind in order}
    if typed.strip():
        found = tuple(kind for kind in order if _found(words[kind.id], typed))
        return KindsShown(found, (), words, typed)
    return KindsShown(tuple(order[:SHOWN]), tuple(order[SHOWN:]), words)


def _words(kind: Kind) -> str:
    text = kind.text
    said = (text.name, text.plural, *text.includes, *kind_words().get(kind.id, ()))
    return " ".join(dict.fromkeys(fold(" ".join(said)).split()))


def _found(words: str, typed: str) -> bool:
    return all(f" {part}" in f" {words}" for part in fold(typed).split())
