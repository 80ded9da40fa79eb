"""Looks: what is asked of every thing before it is called ready, read from their file."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache, cached_property
from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import Field, ValidationError, model_validator

from resale.errors import RuleBookError
from resale.garments.rulebook.field_types import Ident, Line, Strict

_FILE = Path(__file__).with_name("looks.toml")
When = Literal["always", "child", "costly", "dearest"]


class LookAnswer(Strict):
    """One answer to a look; with the hold that it raises, if it raises one."""

    id: Ident
    name: Line
    hold: Ident | None = None


class Look(Strict):
    """One thing that is asked before a ticket.

    Attributes
    ----------
    glance : bool
        Whether one tap may answer it together with the others, with its first answer.
    when : str
        For what it is asked: always, for a child's thing, under a label worth the copying, or
        under one that is copied most.
    signal : str or None
        A sign of the rule book that answers it where the kind has it.
    covers : tuple of str
        Signs of the rule book that need not be asked beside it, since it asks for what they hold.
    answers : tuple of LookAnswer
        The harmless one first.
    """

    id: Ident
    name: Line
    ask: Line
    glance: bool
    when: When = "always"
    signal: Ident | None = None
    covers: tuple[Ident, ...] = ()
    answers: Annotated[tuple[LookAnswer, ...], Field(min_length=2)]

    @model_validator(mode="after")
    def _first_is_harmless(self) -> Self:
        if self.answers[0].hold is not None:
            raise ValueError("the first answer is the harmless one and raises no hold")
        if len({answer.id for answer in self.answers}) < len(self.answers):
            raise ValueError("two answers share an id")
        return self

    @cached_property
    def answer_ids(self) -> tuple[str, ...]:
        """Ids of the answers, the harmless one first."""
        return tuple(answer.id for answer in self.answers)

    @cached_property
    def named_answers(self) -> tuple[tuple[str, str], ...]:
        """Id and name of each answer."""
        return tuple((answer.id, answer.name) for answer in self.answers)

    def hold_of(self, answer_id: str) -> str | None:
        """Id of the hold that an answer raises; None for a harmless or an unknown one."""
        return next((one.hold for one in self.answers if one.id == answer_id), None)


class Looks(Strict):
    """All looks, and which standings of a label ask for the maker.

    Attributes
    ----------
    nothing : dict of str to str
        What 'nothing found' answers to signs of the rule book, where that is not 'none'.
    """

    costly: tuple[Ident, ...]
    dearest: tuple[Ident, ...]
    nothing: dict[Ident, Ident]
    look: Annotated[tuple[Look, ...], Field(min_length=1)]

    @cached_property
    def covered(self) -> frozenset[str]:
        """Signs of the rule book that some look asks for as well."""
        return frozenset(signal for look in self.look for signal in look.covers)

    @cached_property
    def by_id(self) -> Mapping[str, Look]:
        """Looks by id, in the order in which they are asked."""
        return {look.id: look for look in self.look}


@cache
def shipped_looks(path: Path = _FILE) -> Looks:
    """Read and check the looks.

    Raises
    ------
    RuleBookError
        With the first fault.
    """
    try:
        return Looks.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))
    except ValidationError as fault:
        first = fault.errors(include_url=False)[0]
        place = ".".join(str(step) for step in first["loc"])
        what = first["msg"].removeprefix("Value error, ")
        raise RuleBookError(f"{place}: {what}", where=path.name, remedy="mend that entry") from None
