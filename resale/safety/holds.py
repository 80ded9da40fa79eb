"""Holds: what stops a ticket until a lead clears it, what to do meanwhile, and whom to ask.

A hold is raised by a rule from what was entered, or by hand. Never is it legal advice.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import Field, ValidationError, model_validator

from resale.errors import ReadingError, RuleBookError
from resale.garments.fibres.content import FibreLabel
from resale.garments.rulebook.field_types import Ident, Strict
from resale.garments.rulebook.signals import EXTENTS, finding_place

_FILE = Path(__file__).with_name("holds.toml")

Status = Literal["seen", "second hand", "memory", "practice"]
Text = Annotated[str, Field(min_length=5, max_length=400)]
Texts = Annotated[tuple[Text, ...], Field(min_length=1)]
WHO = {
    "lead": "The lead",
    "authority": "The public authority",
    "trade": "A licensed trade",
}


class RaisedBy(Strict):
    """Readings of one signal that raise the hold: options, or a finding from an extent on."""

    signal: Ident
    options: tuple[Ident, ...] = ()
    from_extent: Annotated[int, Field(ge=1, le=EXTENTS)] | None = None

    @model_validator(mode="after")
    def _one_or_the_other(self) -> Self:
        if bool(self.options) == (self.from_extent is not None):
            raise ValueError("name either options or from_extent")
        return self

    def meets(self, option_id: str) -> bool:
        """Whether a reading raises the hold."""
        if self.from_extent is None:
            return option_id in self.options
        try:
            return finding_place(option_id)[1] >= self.from_extent
        except ValueError:
            # An answer of an older rule book, which named its options otherwise.
            return False


class Ask(Strict):
    """Whom to ask, and about what."""

    who: Literal["lead", "authority", "trade"]
    about: Text

    @property
    def sentence(self) -> str:
        """Both together."""
        return f"{WHO[self.who]}: {self.about}"


class Source(Strict):
    """Where a hold comes from, and how well that was checked."""

    text: Text
    status: Status


class Figure(Strict):
    """A temperature, a time or an age that a hold says, and how well it was checked."""

    said: Text
    status: Status


class Hold(Strict):
    """One reason why an item waits.

    Attributes
    ----------
    why : str
        Why it waits.
    by_hand : bool
        Whether a sorter can raise it.
    raised_by : tuple of RaisedBy
    fibres : tuple of str
        Ids of fibres that raise it where a fibre label names them.
    animal_parts : bool
        Whether a label that says 'parts of animal origin' raises it.
    do_now, never, ask, clear : tuple
        What to do, what never to do, whom to ask, what a lead confirms to clear it.
    days : int or None
        Days of quarantine, where there is a clock.
    days_note, days_status : str
        What the clock rests on.
    figures : tuple of Figure
        Each figure that its texts say.
    standing : str
        That it is no legal advice, and who decides.
    """

    id: Ident
    name: Text
    why: Text
    by_hand: bool = False
    raised_by: tuple[RaisedBy, ...] = ()
    fibres: tuple[Ident, ...] = ()
    animal_parts: bool = False
    do_now: Texts
    never: Texts
    ask: Annotated[tuple[Ask, ...], Field(min_length=1)]
    clear: Texts
    days: Annotated[int, Field(ge=1, le=365)] | None = None
    days_note: Text | None = None
    days_status: Status | None = None
    sources: Annotated[tuple[Source, ...], Field(min_length=1)]
    figures: tuple[Figure, ...] = ()
    standing: Text

    @model_validator(mode="after")
    def _clock_says_why(self) -> Self:
        parts = [self.days is None, self.days_note is None, self.days_status is None]
        if len(set(parts)) > 1:
            raise ValueError("days, days_note and days_status go together")
        if not (self.by_hand or self.raised_by or self.fibres or self.animal_parts):
            raise ValueError("nothing can raise it")
        return self

    @property
    def texts(self) -> tuple[str, ...]:
        """All that it says to the desk, but where it comes from."""
        asked = (one.about for one in self.ask)
        note = (self.days_note,) if self.days_note else ()
        return (self.why, *self.do_now, *self.never, *asked, *self.clear, *note)

    @model_validator(mode="after")
    def _figures_are_said(self) -> Self:
        for figure in self.figures:
            if not any(figure.said in text for text in self.texts):
                raise ValueError(f"no text says the figure {figure.said!r}")
        return self

    def may_end_on(self, begun: date) -> date | None:
        """First day on which a lead may clear it; None where there is no clock.

        Parameters
        ----------
        begun : date
            Day on which the treatment, or the quarantine, began.
        """
        return None if self.days is None else begun + timedelta(days=self.days)


class _File(Strict):
    """The file of holds."""

    checked_on: date
    standing: Text
    never: Texts
    hold: Annotated[tuple[dict[str, object], ...], Field(min_length=1)]


def load_holds(path: Path = _FILE) -> Mapping[str, Hold]:
    """Read and check the holds.

    Returns
    -------
    mapping of hold id to Hold
        In the order in which they are shown; what is never done at all stands with each.

    Raises
    ------
    RuleBookError
        With the hold of the first fault.
    """
    try:
        raw = tomllib.loads(path.read_text(encoding="utf-8"))
        where = path.name
        whole = _File.model_validate(raw)
        holds: dict[str, Hold] = {}
        for one in whole.hold:
            where = f"{path.name}, hold {one.get('id', '?')}"
            added = {"standing": whole.standing, "never": [*_own_never(one), *whole.never]}
            hold = Hold.model_validate({**one, **added})
            if hold.id in holds:
                raise RuleBookError("the hold stands twice", where=where, remedy="drop one")
            holds[hold.id] = hold
    except ValidationError as fault:
        first = fault.errors(include_url=False)[0]
        place = ".".join(str(step) for step in first["loc"])
        what = first["msg"].removeprefix("Value error, ")
        what = f"{place}: {what}" if place else what
        raise RuleBookError(what, where=where, remedy="mend that entry") from None
    except (OSError, tomllib.TOMLDecodeError, UnicodeDecodeError) as fault:
        raise RuleBookError(
            f"the holds cannot be read ({fault})", where=path.name, remedy="restore the file"
        ) from None
    return holds


def _own_never(one: Mapping[str, object]) -> list[object]:
    never = one.get("never", [])
    return list(never) if isinstance(never, list) else [never]


@cache
def shipped_holds() -> Mapping[str, Hold]:
    """Return the holds that come with the program."""
    return load_holds()


def hold_called(hold_id: str) -> Hold:
    """Return the hold with this id, or say which there are.

    Raises
    ------
    ReadingError
        If there is none of that id.
    """
    holds = shipped_holds()
    if hold_id not in holds:
        raise ReadingError(f"there is no hold {hold_id!r}", remedy=f"use one of {', '.join(holds)}")
    return holds[hold_id]


def hand_holds() -> tuple[Hold, ...]:
    """Holds that a sorter can raise, in the order in which they are shown."""
    return tuple(hold for hold in shipped_holds().values() if hold.by_hand)


def answers_that_raise(
    choices: Mapping[str, str], labels: Iterable[FibreLabel] = ()
) -> dict[str, tuple[str, ...]]:
    """Find the holds that answers raise, and which answers do.

    Parameters
    ----------
    choices : mapping of signal id to option id
        What was looked at. Answers that no rule names raise nothing.
    labels : iterable of FibreLabel
        What its fibre labels say, where some were read.

    Returns
    -------
    dict of hold id to tuple of str
        In the order in which holds are shown; each answer as ``signal:option``, a label's words
        as ``label:fibre``.

    Examples
    --------
    >>> answers_that_raise({"mould": "musty", "pests": "none"})
    {'mould': ('mould:musty',)}
    """
    cautions = [_cautions(label) for label in labels]
    words = {word for said, _ in cautions for word in said}
    parts = any(animal for _, animal in cautions)
    found = {}
    for hold in shipped_holds().values():
        answers = [
            f"{rule.signal}:{choices[rule.signal]}"
            for rule in hold.raised_by
            if rule.signal in choices and rule.meets(choices[rule.signal])
        ]
        answers += [f"label:{fibre}" for fibre in hold.fibres if fibre in words]
        answers += ["label:animal parts"] if parts and hold.animal_parts else []
        if answers:
            found[hold.id] = tuple(answers)
    return found


def _cautions(label: FibreLabel) -> tuple[frozenset[str], bool]:
    """Fibres that a label's cautions name, and whether one speaks of unnamed animal parts."""
    cautions = [question.word for question in label.questions if question.kind == "caution"]
    return frozenset(filter(None, cautions)), "" in cautions
