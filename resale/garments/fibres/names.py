"""Textile fibres, their class, and the names they go by in nine languages."""

from __future__ import annotations

import tomllib
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from importlib.resources import files
from types import MappingProxyType
from typing import Any, Literal, get_args

from rapidfuzz import fuzz, process

from resale.errors import RuleBookError

FibreClass = Literal["plant", "animal", "cellulosic", "synthetic", "other"]
Source = Literal["name", "trade", "code"]

UNKNOWN = "unknown"
"""Stands where a label gives a percentage for a word that is not a known fibre."""

# Letters that Unicode does not take apart into a base letter and an accent.
_LETTERS = str.maketrans({"ł": "l", "ø": "o", "đ": "d", "æ": "ae", "œ": "oe", "’": "", "'": ""})
# Below this likeness (rapidfuzz ratio, 0 to 100) a suggestion misleads more than it helps.
_LIKE_ENOUGH = 70.0


def fold(text: str) -> str:
    """Strip case, accents and apostrophes, so that *Élasthanne* meets *elasthanne*.

    Examples
    --------
    >>> fold("Bawełna"), fold("Füllung"), fold("lamb's")
    ('bawelna', 'fullung', 'lambs')
    """
    opened = unicodedata.normalize("NFKD", unicodedata.normalize("NFKC", text).casefold())
    bare = "".join(sign for sign in opened if not unicodedata.combining(sign))
    return bare.translate(_LETTERS)


@dataclass(frozen=True, slots=True)
class Fibre:
    """One fibre of the shipped table.

    Attributes
    ----------
    id : str
        Name in the data: ``flax``, ``other_fibres``.
    fibre_class : str
        ``plant``, ``animal``, ``cellulosic`` (man-made from cellulose: viscose, acetate),
        ``synthetic`` or ``other``.
    names : mapping of language code to tuple of str
        As a label prints them; the first English one is the name shown.
    trade, codes : tuple of str
        Desk words and label letters; both are reported back when used.
    marked : mapping of str to tuple of str
        Names that also say something about the fibre: ``{"merino": ("merino", ...)}``.
    caution : str
        A clause for the desk, or empty.
    """

    id: str
    fibre_class: FibreClass
    names: Mapping[str, tuple[str, ...]]
    trade: tuple[str, ...] = ()
    codes: tuple[str, ...] = ()
    marked: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    caution: str = ""

    @property
    def name(self) -> str:
        """The name shown on screen, in English."""
        return self.names["en"][0]


@dataclass(frozen=True, slots=True)
class Language:
    """A language of the table, and which of its fibre names were seen in public."""

    code: str
    name: str
    seen: frozenset[str]
    where: str


@dataclass(frozen=True, slots=True)
class FibreName:
    """What a word on a label means: the fibre, what else the word says, and its standing."""

    fibre_id: str
    marks: tuple[str, ...] = ()
    source: Source = "name"


def read_shipped_words() -> dict[str, Any]:
    """Read ``fibre_names.toml``, the only file this module touches."""
    text = files("resale.garments.fibres").joinpath("fibre_names.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def _fibre(row: Mapping[str, Any], languages: Mapping[str, Language]) -> Fibre:
    if row["class"] not in get_args(FibreClass):
        raise RuleBookError(
            f"class {row['class']!r} of fibre {row['id']!r} is not known",
            where="fibre_names.toml",
            remedy=f"use one of {', '.join(get_args(FibreClass))}",
        )
    return Fibre(
        id=row["id"],
        fibre_class=row["class"],
        names=MappingProxyType({code: tuple(row[code]) for code in languages if code in row}),
        trade=tuple(row.get("trade", ())),
        codes=tuple(row.get("codes", ())),
        marked=MappingProxyType({mark: tuple(x) for mark, x in row.get("marked", {}).items()}),
        caution=row.get("caution", ""),
    )


def _names_of(fibre: Fibre) -> list[tuple[str, FibreName]]:
    plain = [(word, FibreName(fibre.id)) for words in fibre.names.values() for word in words]
    trade = [(word, FibreName(fibre.id, source="trade")) for word in fibre.trade]
    marked = [
        (word, FibreName(fibre.id, (mark,)))
        for mark, words in fibre.marked.items()
        for word in words
    ]
    return plain + trade + marked


def _index(fibres: Mapping[str, Fibre]) -> dict[str, FibreName]:
    """Map each folded name to its fibre; two fibres may not share a name."""
    index: dict[str, FibreName] = {}
    for fibre in fibres.values():
        for word, meaning in _names_of(fibre):
            if index.setdefault(fold(word), meaning).fibre_id != fibre.id:
                other = index[fold(word)].fibre_id
                raise RuleBookError(
                    f"{word!r} names both {other} and {fibre.id}",
                    where="fibre_names.toml",
                    remedy="leave the word out, so that the desk is asked",
                )
    return index


def _load() -> tuple[Mapping[str, Language], Mapping[str, Fibre]]:
    rows = read_shipped_words()
    languages = {
        code: Language(code, row["name"], frozenset(row["seen"]), row["where"])
        for code, row in rows["languages"].items()
    }
    fibres = {row["id"]: _fibre(row, languages) for row in rows["fibre"]}
    return MappingProxyType(languages), MappingProxyType(fibres)


LANGUAGES, FIBRES = _load()
NAMES: Mapping[str, FibreName] = MappingProxyType(_index(FIBRES))
CODES: Mapping[str, str] = MappingProxyType(
    {fold(code): fibre.id for fibre in FIBRES.values() for code in fibre.codes}
)


def closest_fibre(word: str) -> str:
    """Give the id of the fibre whose name is most like a word, or '' if none is like it.

    A suggestion for a question to the desk, never an answer.

    Examples
    --------
    >>> closest_fibre("pollyestter"), closest_fibre("xyzzy")
    ('polyester', '')
    """
    found = process.extractOne(fold(word), NAMES.keys(), scorer=fuzz.ratio)
    if found is None or found[1] < _LIKE_ENOUGH:
        return ""
    return NAMES[found[0]].fibre_id


def shown_name(fibre_id: str) -> str:
    """Give the English name of a fibre for a sentence; the unknown fibre is 'an unknown fibre'."""
    return FIBRES[fibre_id].name if fibre_id in FIBRES else "an unknown fibre"
