"""Between which years a thing can have been made, by what was seen on it."""

from __future__ import annotations

import tomllib
from collections.abc import Collection
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from resale.garments.rulebook.field_types import Ident, Line, Strict

_FILE = Path(__file__).with_name("clues.toml")
Place = Literal["origin", "label", "care", "zip", "fibre"]
PLACES: dict[Place, str] = {
    "origin": "Where it was made",
    "label": "Label and tag",
    "care": "Care marks",
    "zip": "Zip",
    "fibre": "Fibres named",
}
# Ages in years at which the book's answers on the label begin.
_RECENT, _OLD = 10, 30
_Year = Annotated[int, Field(ge=1800, le=2100)]


class Clue(Strict):
    """One thing to be seen, and the years that it leaves open.

    Attributes
    ----------
    first, last : int or None
        Not made before, not made after; in the file ``from`` and ``to``.
    """

    id: Ident
    name: Line
    where: Place
    first: _Year | None = Field(default=None, alias="from")
    last: _Year | None = Field(default=None, alias="to")
    why: Line
    status: Literal["seen", "memory", "practice"]

    @model_validator(mode="after")
    def _says_something(self) -> Self:
        if self.first is None and self.last is None:
            raise ValueError("a clue needs a first or a last year")
        if self.first and self.last and self.first > self.last:
            raise ValueError("the first year is after the last")
        return self


class Clues(Strict):
    """The file of clues; ``used_up`` is how many years old stock is still used."""

    checked_on: Line
    used_up: Annotated[int, Field(ge=0, le=20)]
    clue: tuple[Clue, ...]


@dataclass(frozen=True, slots=True)
class Dated:
    """Years that are left open, and why.

    Attributes
    ----------
    first, last : int or None
        None where nothing bounds that side, or the clues quarrel.
    because : tuple of Clue
        Those that bound the range.
    quarrel : tuple of Clue
        Two that cannot both be of the making: one was put on later, or is copied.
    answer : str
        What the question on the age of the label would be answered with; empty where it is open.
    """

    first: int | None
    last: int | None
    because: tuple[Clue, ...] = ()
    quarrel: tuple[Clue, ...] = ()
    answer: str = ""


@cache
def shipped_clues() -> Clues:
    """Give the clues that ship with the program."""
    return Clues.model_validate(tomllib.loads(_FILE.read_text(encoding="utf-8")))


def dated(seen: Collection[str], year: int) -> Dated:
    """Give the years between which a thing can have been made.

    Parameters
    ----------
    seen : collection of str
        Ids of the clues that were seen; unknown ones are passed over.
    year : int
        This year: nothing was made after it.

    Returns
    -------
    Dated

    Examples
    --------
    >>> found = dated({"west_germany", "care_symbols"}, 2026)
    >>> found.first, found.last, found.answer
    (1960, 1993, 'older_label')
    """
    clues = [one for one in shipped_clues().clue if one.id in seen]
    firsts = [one for one in clues if one.first]
    lasts = [one for one in clues if one.last]
    youngest = max(firsts, key=lambda one: one.first or 0, default=None)
    oldest = min(lasts, key=lambda one: one.last or 9999, default=None)
    first = youngest.first if youngest else None
    last = (oldest.last or 0) + shipped_clues().used_up if oldest else None
    if youngest and oldest and first and last and first > last:
        return Dated(None, None, quarrel=(youngest, oldest))
    because = tuple(dict.fromkeys(one for one in (youngest, oldest) if one))
    last = min(last, year) if last else None
    return Dated(first, last, because, answer=_answer(first, last, year))


def _answer(first: int | None, last: int | None, year: int) -> str:
    """The answer whose whole span of ages holds the range."""
    if last is not None and year - last >= _OLD:
        return "older_label"
    if first is None:
        return ""
    if year - first < _RECENT:
        return "current"
    if last is not None and year - last >= _RECENT and year - first < _OLD:
        return "recent_decades"
    return ""
