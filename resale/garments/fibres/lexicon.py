"""The words of a label and what each can mean, put together from the shipped table."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from rapidfuzz import process
from rapidfuzz.distance import OSA

from resale.errors import RuleBookError
from resale.garments.fibres.names import NAMES, fold, read_shipped_words

Kind = Literal[
    "percent",
    "fibre",
    "part",
    "mark",
    "blend",
    "aside",
    "animal_parts",
    "filler",
    "unknown",
    "break",
]


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a word or phrase says: its kind, the fibres or part it names, marks, standing."""

    kind: Kind
    ids: tuple[str, ...] = ()
    marks: tuple[str, ...] = ()
    source: str = "name"


_SHIPPED = read_shipped_words()
SMALL_WORDS = frozenset(fold(word) for word in _SHIPPED["words"]["filler"] if " " not in word)


def _phrase(text: str) -> tuple[str, ...]:
    """Fold a phrase into words; small words are left out, as they are in the label."""
    words = fold(text).split()
    return tuple(words) if len(words) == 1 else tuple(w for w in words if w not in SMALL_WORDS)


def _meanings(shipped: Mapping[str, Any]) -> Iterator[tuple[str, Meaning]]:
    for name, found in NAMES.items():
        yield name, Meaning("fibre", (found.fibre_id,), found.marks, found.source)
    for blend, ids in shipped["blends"].items():
        yield blend, Meaning("fibre", tuple(ids), source="trade")
    for part, words in shipped["parts"].items():
        yield from ((word, Meaning("part", (part,))) for word in words)
    for mark, words in shipped["marks"].items():
        yield from ((word, Meaning("mark", marks=(mark,))) for word in words)
    kinds: tuple[Kind, ...] = ("aside", "blend", "animal_parts", "filler")
    for kind in kinds:
        yield from ((word, Meaning(kind)) for word in shipped["words"][kind])


def _lexicon(shipped: Mapping[str, Any]) -> dict[tuple[str, ...], Meaning]:
    lexicon: dict[tuple[str, ...], Meaning] = {}
    for text, meaning in _meanings(shipped):
        known = lexicon.setdefault(_phrase(text), meaning)
        # A small word may be a fibre too (Portuguese 'lã', French 'la'); the cutter looks closer.
        if meaning.kind != "filler" and (known.kind, known.ids) != (meaning.kind, meaning.ids):
            raise RuleBookError(
                f"{text!r} is listed as {known.kind} and as {meaning.kind}",
                where="fibre_names.toml",
                remedy="leave the word in one list only",
            )
    return lexicon


LEXICON = _lexicon(_SHIPPED)
LONGEST_PHRASE = max(len(phrase) for phrase in LEXICON)
# A slip of one letter in a shorter word is too often another word.
_SHORTEST_SLIP = 5
_SLIP_POOL = [p[0] for p in LEXICON if len(p) == 1 and len(p[0]) >= _SHORTEST_SLIP]


def one_letter_away(word: str) -> str | None:
    """Find the known word one slip away, if all such words mean the same."""
    if len(word) < _SHORTEST_SLIP:
        return None
    found = process.extract(word, _SLIP_POOL, scorer=OSA.distance, score_cutoff=1, limit=None)
    meanings = {(LEXICON[(near,)].kind, LEXICON[(near,)].ids) for near, _, _ in found}
    return str(found[0][0]) if len(meanings) == 1 else None
