"""The tables of sizes, read once from their file and checked."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BeforeValidator

from resale.garments.rulebook.field_types import Strict

_FILE = Path(__file__).with_name("sizes.toml")
Who = Literal["men", "women", "either"]
Range = tuple[float, float]
Status = Literal["seen", "memory", "practice"]
_Pair = Annotated[Range, BeforeValidator(tuple)]


class Letters(Strict):
    """Girths that letters stand for (cm), by whose rail."""

    status: Status
    men: Mapping[str, _Pair]
    women: Mapping[str, _Pair]

    def of(self, who: Who, letter: str) -> Range:
        """Give the girth of a letter on one rail (cm), least and most.

        Parameters
        ----------
        who : {'men', 'women'}
        letter : str
            Such as ``XL``.
        """
        return (self.men if who == "men" else self.women)[letter]


class WomenNumbers(Strict):
    """Numbers of women's clothes: how far each land's stands above the German one."""

    status: Status
    above: Mapping[str, int]
    least: int
    most: int


class MenNumbers(Strict):
    """Numbers of men's clothes in Europe: half of the chest girth (cm)."""

    status: Status
    least: int
    most: int


class Shoes(Strict):
    """How shoe numbers hang together (mm, steps)."""

    status: Status
    allowance_mm: _Pair
    us_men_above_uk: _Pair
    us_women_above_uk: _Pair


class Ease(Strict):
    """Girth that clothes have more than the body they fit (cm), by kind."""

    status: Status
    room: Mapping[str, _Pair]


class Tape(Strict):
    """Where the tape lies, how often its measure is taken, and the room in it (cm)."""

    name: str
    times: int
    room: _Pair


class Tapes(Strict):
    """The tape by the part of the body that a size speaks of."""

    status: Status
    of: Mapping[str, Tape]


class SizeTables(Strict):
    """All tables of the file."""

    checked_on: str
    speaks_of: Mapping[str, str]
    lands: Mapping[str, tuple[str, ...]]
    letters: Letters
    letter_waists: Letters
    women_numbers: WomenNumbers
    men_numbers: MenNumbers
    shoes: Shoes
    ease: Ease
    tape: Tapes

    def land_of(self, written: str) -> str:
        """Give the land that letters before a number stand for; empty where they are none."""
        return next((land for land, names in self.lands.items() if written in names), "")

    def ease_of(self, kind: str) -> Range:
        """Give the room around the body in clothes of a kind (cm), least and most."""
        return self.ease.room.get(kind, self.ease.room["other"])


@cache
def tables() -> SizeTables:
    """Give the tables that ship with the program."""
    return SizeTables.model_validate(tomllib.loads(_FILE.read_text(encoding="utf-8")))
