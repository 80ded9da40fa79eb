"""Read what a care label says: words of nine languages, temperatures, and described signs.

Meanings are those of ISO 3758:2012 (`care_words.toml`); what cannot be read is given back.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field

from resale.garments.fibres.names import fold
from resale.garments.rulebook.field_types import Ident, Line, Strict

_FILE = Path(__file__).with_name("care_words.toml")
WASH_DEGREES = (30, 40, 50, 60, 70, 95)
"""Temperatures of the tub (°C); ISO 3758:2012, table 1."""

_CLAUSES = re.compile(r"[,;\n/|·•+]|\.(?!\d)|\s[-–—]\s")
_FIGURE = re.compile(r"\b(\d{1,3})\s*(?:°|º)?\s*(?:c\b)?")
# Words, how they are found, and the id of what they mean.
Phrase = tuple[str, re.Pattern[str], str]
_WORD = re.compile(r"[^\W\d_]+(?:-[^\W\d_]+)*")


class Meaning(Strict):
    """One thing that a care label can say.

    Attributes
    ----------
    buyer : str
        What the buyer should be told; empty where there is nothing to be careful of.
    """

    id: Ident
    name: Line
    buyer: str
    words: tuple[str, ...]


class Words(Strict):
    """Words that mean one thing to the reader."""

    words: tuple[str, ...]


class CareWords(Strict):
    """The file of words."""

    checked_on: Line
    status: Line
    iron: dict[str, tuple[int, int, int]]
    meaning: Annotated[tuple[Meaning, ...], Field(min_length=1)]
    passed_over: Words
    denying: Words
    joining: Words


@dataclass(frozen=True, slots=True)
class CareLabel:
    """What a label says.

    Attributes
    ----------
    says : tuple of str
        Ids of the meanings, in the order of the table.
    degrees : int or None
        Warmest wash (°C).
    unread : tuple of str
        Words and figures that were not understood, as typed.
    """

    says: tuple[str, ...] = ()
    degrees: int | None = None
    unread: tuple[str, ...] = ()


@cache
def care_words() -> CareWords:
    """Give the words that ship with the program."""
    return CareWords.model_validate(tomllib.loads(_FILE.read_text(encoding="utf-8")))


def offered_words() -> tuple[str, ...]:
    """Give words to pick from where nobody wants to type: each meaning once, washes by degrees."""
    washes = tuple(f"wash {degrees}" for degrees in WASH_DEGREES)
    rest = (one.name.lower() for one in care_words().meaning if one.id not in {"wash", "none"})
    return (*washes, *rest, "no care label")


def read_care(text: str) -> CareLabel:
    """Read a care label as typed; never raises, and never guesses.

    What stands beside a *not* that no known phrase takes up is not read at all, nor is what an *or*
    joins after something was forbidden: 'do not wash, tumble dry or bleach' allows no dryer.

    Parameters
    ----------
    text : str
        Its words in any of the languages, or its signs described, parted by commas or lines. The
        same in several languages counts once.

    Returns
    -------
    CareLabel

    Examples
    --------
    >>> read_care("Wash 30, do not tumble dry")
    CareLabel(says=('wash', 'no_tumble'), degrees=30, unread=())
    >>> read_care("nicht waschen / ne pas laver / zzyzx").unread
    ('zzyzx',)
    """
    found: set[str] = set()
    degrees: list[int] = []
    unread: list[str] = []
    denied = forbidden = False
    for clause in map(fold, _CLAUSES.split(text)):
        says, left = _phrases(clause, _patterns())
        words = set(_WORD.findall(left))
        denies = words & _set_of("denying")
        forbidden |= any(map(_forbids, says))
        if denies or denied or (forbidden and words & _set_of("joining")):
            says, left = _phrases(clause, [one for one in _patterns() if _forbids(one[2])])
        else:
            _figures(left, says, degrees, unread)
        # A *not* at the end of a line is still to say what of.
        denied = bool(denies) and not words - denies - _set_of("passed_over")
        found |= says
        unread += [word for word in _WORD.findall(left) if word not in _set_of("passed_over")]
    if degrees and not found & {"hand_wash", "no_wash"}:
        found.add("wash")
    order = tuple(one.id for one in care_words().meaning if one.id in found)
    return CareLabel(order, min(degrees, default=None), tuple(dict.fromkeys(unread)))


def _figures(left: str, says: set[str], degrees: list[int], unread: list[str]) -> None:
    """Read temperatures of one clause: those of an iron say its heat, others that of the wash."""
    irons = {heats[0]: "iron_low" for heats in care_words().iron.values()}
    irons |= {heat: "iron" for heats in care_words().iron.values() for heat in heats[1:]}
    for figure in _FIGURE.finditer(left):
        value = int(figure[1])
        if value in irons:
            says.discard("iron")
            says.add(irons[value])
        elif value in WASH_DEGREES and not says & {"iron", "iron_low", "no_iron"}:
            degrees.append(value)
        else:
            unread.append(figure[0].strip())


def _phrases(clause: str, known: Iterable[Phrase]) -> tuple[set[str], str]:
    """Take known words out of a clause, the longest first: what they say, and what is left."""
    says: set[str] = set()
    for words, pattern, meaning in known:
        if words in clause and pattern.search(clause):
            clause = pattern.sub(" ", clause)
            says.add(meaning)
    return says, clause


@cache
def _patterns() -> tuple[Phrase, ...]:
    every = [(fold(words), one.id) for one in care_words().meaning for words in one.words]
    every.sort(key=lambda pair: -len(pair[0]))
    return tuple((w, re.compile(rf"(?<!\w){re.escape(w)}(?!\w)"), which) for w, which in every)


@cache
def _set_of(name: Literal["passed_over", "denying", "joining"]) -> frozenset[str]:
    words: Words = getattr(care_words(), name)
    return frozenset(words.words)


def _forbids(meaning: str) -> bool:
    return meaning.startswith("no_")
