"""Is it a child's? Guessed from size, label, note and kind, and said why; a person answers.

A guess never lets anything pass: it only asks sooner, and words of cords or loose parts count
where a guess says that a child may wear it.

References
----------
Ages and heights: 16 CFR 1200.2 (a children's product is for 12 years or younger; from memory);
EN 14682 goes to 14 years or 182 cm (see `resale.safety.cords`). Size numbers that are heights in
steps of 6 cm: EN 13402-3, from memory.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from resale.garments.fibres.names import fold
from resale.safety.cords import EU_OLDER_AGE
from resale.safety.words.table import cut_words, shipped_table

Sure = Literal["no sign", "perhaps", "yes"]

# Ordinary things that are called after children.
_NOT = re.compile(
    r"\bbaby\s+(?:blue|pink|cord|alpaca|camel|doll|soft)|\bchild\s*free\b|\bboys?\s*friend|"
    r"\bboys?\s+fit|\bkid\s+(?:mohair|leather|skin|suede)|\bgirls?\s*friend"
)
_AGE = re.compile(
    r"(?:(?:age|aged|ages|alter|edad|eta|ans)\s*(?P<a>\d{1,2})\b)"
    r"|(?:\b(?P<b>\d{1,2})(?:\s*[-–/]\s*\d{1,2})?\s*"
    r"(?P<unit>y|yr|yrs|years?|yo|j|jahre?|ans?|anos?|anni|anno|jaar|lat|ar|"
    r"m|mo|mths?|months?|monate?|mois|mes|meses|mesi|mese|maanden)\b)"
)
_TODDLER = re.compile(r"\b[2-6]\s*t\b")
_HEIGHT = re.compile(
    r"\b(?:gr|grosse|size|taille|talla|taglia)?\.?\s*(?P<cm>\d{2,3})\s*(?P<u>cm)?\b"
)
_STEPS = frozenset(range(50, 177, 6))
_SHOE_MOST = 34
# Ids of kinds that are a child's whatever their size says.
_OF_CHILDREN = frozenset({"child"})
_COMPOUND = 8


@dataclass(frozen=True, slots=True)
class ChildGuess:
    """Whether a child may wear it, and what says so.

    Attributes
    ----------
    sure : {'no sign', 'perhaps', 'yes'}
    why : str
        Half a sentence; empty where nothing says so.
    """

    sure: Sure
    why: str = ""


# Asked several times for every tap, of the same few words.
@lru_cache(maxsize=256)
def child_guess(kind: str, size: str = "", label: str = "", note: str = "") -> ChildGuess:
    """Guess from what was entered whether the thing is a child's.

    Parameters
    ----------
    kind : str
        Id of the kind: children's wear is a child's; a number alone is a height on clothes and a
        length on shoes.
    size, label, note : str
        As typed.

    Returns
    -------
    ChildGuess

    Examples
    --------
    >>> child_guess("jacket", "age 5")
    ChildGuess(sure='yes', why='the size says age 5')
    >>> child_guess("jacket", "42").sure, child_guess("jacket", "116").sure
    ('no sign', 'perhaps')
    """
    if is_of_children(kind):
        return ChildGuess("yes", "it is children's wear")
    by_size = _by_size(kind, fold(size))
    if by_size.sure == "yes":
        return by_size
    for place, text in (("size", size), ("label", label), ("note", note)):
        if word := _child_word(text):
            return ChildGuess("yes", f"the {place} says {word}")
    aged = _AGE.search(fold(note))
    if aged and _years(aged) is not None and aged["a"]:
        return ChildGuess("yes", f"the note says {aged[0].strip()}")
    return by_size


def is_of_children(kind: str) -> bool:
    """Whether everything of this kind is a child's, so that nobody has to be asked."""
    return kind in _OF_CHILDREN


def _child_word(text: str) -> str:
    folded = _NOT.sub(" ", fold(text.replace("'", " ").replace("’", " ")))
    around = shipped_table().around
    openings = tuple(around["child_openings"])
    for word in cut_words(folded):
        if word in around["child"] or (word.startswith(openings) and len(word) >= _COMPOUND):
            return word
    return ""


def _by_size(kind: str, size: str) -> ChildGuess:
    aged = _AGE.search(size)
    if aged and _years(aged) is not None:
        return ChildGuess("yes", f"the size says {aged[0].strip()}")
    if toddler := _TODDLER.search(size):
        return ChildGuess("yes", f"the size says {toddler[0].upper()}")
    found = _HEIGHT.search(size)
    if found is None:
        return ChildGuess("no sign")
    number = int(found["cm"])
    if kind == "shoes":
        small = 15 <= number <= _SHOE_MOST
        return ChildGuess("perhaps", f"{number} is a child's shoe size") if small else _NO_SIGN
    if number in _STEPS and (found["u"] or number >= 62):
        told = f"{number} is a child's height in centimetres"
        named = re.search(r"gr|grosse|cm", size) is not None
        # 62 to 80 are waists in inches' place too, so alone they only ask.
        return ChildGuess("yes" if named and number >= 74 else "perhaps", told)
    return _NO_SIGN


_NO_SIGN = ChildGuess("no sign")


def _years(found: re.Match[str]) -> float | None:
    number = float(found["a"] or found["b"])
    unit = found["unit"] or "years"
    if unit.startswith("m") and unit != "m":
        return number / 12
    if unit == "m":
        # '12 m' is months; 'M' for medium has no number in front.
        return number / 12
    return number if number <= EU_OLDER_AGE else None
