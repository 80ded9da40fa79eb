"""How a measure is graded into the options of its signal."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from resale.garments.rulebook.field_types import (
    Ident,
    Line,
    Strict,
)


class Band(Strict):
    """Cuts for one sort of thing: where another signal has one of these options.

    Attributes
    ----------
    name : str
        The sort, as a sentence names it.
    """

    name: Line
    signal: Ident
    options: Annotated[tuple[Ident, ...], Field(min_length=1)]
    cuts: tuple[float, ...]


class Stitches(Strict):
    """A count over a gauge length, graded by stitches per inch.

    Attributes
    ----------
    cuts : tuple of float
        Where the next better option begins (stitches to the inch).
    bands : tuple of Band
        Sorts of the kind that are sewn otherwise, all told by one other signal.
    """

    by: Literal["stitches"]
    cuts: tuple[float, ...]
    bands: tuple[Band, ...] = ()

    @property
    def told_by(self) -> str | None:
        """The signal that tells the sorts apart; None where there is one band for all."""
        return self.bands[0].signal if self.bands else None

    def possible(self, answers: Mapping[str, str]) -> tuple[tuple[str, tuple[float, ...]], ...]:
        """Bands that may hold, each with the name of its sort; all of them while nobody said.

        Parameters
        ----------
        answers : mapping of signal id to option id
            What else was looked at.
        """
        told = answers.get(self.told_by or "")
        own = ("", self.cuts)
        if self.bands and told is None:
            return (own, *((band.name, band.cuts) for band in self.bands))
        met = [(band.name, band.cuts) for band in self.bands if told in band.options]
        return (met[0] if met else own,)

    @model_validator(mode="after")
    def _one_signal_tells(self) -> Self:
        if len({band.signal for band in self.bands}) > 1:
            raise ValueError("one signal tells all bands of a count apart")
        return self


class Number(Strict):
    """A plain number, graded by cuts."""

    by: Literal["number"]
    unit: str
    least: float
    most: float
    cuts: tuple[float, ...]


class FibreRule(Strict):
    """An option of a fibre signal: at least so many percent of the fibres named, together.

    `also` names fibres of which at least a trace must be there besides.
    """

    option: Ident
    also: tuple[Ident, ...] = ()
    fibres: tuple[Ident, ...] = ()
    classes: tuple[Ident, ...] = ()
    at_least: Annotated[float, Field(ge=0, le=100)]


class Fibres(Strict):
    """The words of a fibre label, graded by the first rule that fits a part of the item."""

    by: Literal["fibres"]
    part: Ident
    rules: tuple[FibreRule, ...]
