"""What the files of a rule book may say, besides signals: tiers, zones, weather, heads of kinds."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from resale.garments.rulebook.field_types import Doubt, Factor, Ident, Line, Strict


class Tier(Strict):
    """A step of the tier ladder.

    Attributes
    ----------
    from_standing : float
        The least factor over the average of the kind at which the tier begins; 0 for the lowest.
    wear_at_least : float
        What is more worn than this factor of all its wear does not stand in the tier.
    wear_below : float or None
        Only what is more worn than this stands in the tier: a clean plain thing never does.
    """

    id: Ident
    name: Line
    from_standing: Annotated[float, Field(ge=0)]
    wear_at_least: Annotated[float, Field(ge=0, le=1)] = 0.0
    wear_below: Annotated[float, Field(gt=0, le=1)] | None = None
    meaning: Line


class Zone(Strict):
    """Where the hand is when a signal is seen."""

    id: Ident
    name: Line


class Warmth(Strict):
    """Options of a signal that make a thing one for a kind of weather."""

    name: Line
    signal: Ident
    options: Annotated[tuple[Ident, ...], Field(min_length=1)]


class Book(Strict):
    """What belongs to no kind: tiers from best to lowest, zones, doubts.

    Attributes
    ----------
    further_wear : float
        The worst fault counts in full, the next this part of itself, the third this part of this
        part, and so on; 1 lets all count in full.
    """

    version: Annotated[str, Field(pattern=r"^\d{4}-\d{2}-\d{2}[a-z]?$")]
    title: Line
    note: Line
    noise: Doubt
    level_doubt: Doubt
    departure_doubt: Doubt
    further_wear: Annotated[float, Field(ge=0, le=1)] = 1.0
    tiers: Annotated[tuple[Tier, ...], Field(min_length=2)]
    zones: tuple[Zone, ...]
    warmth: tuple[Warmth, ...] = ()

    @model_validator(mode="after")
    def _tiers_fall(self) -> Self:
        starts = [tier.from_standing for tier in self.tiers]
        if starts != sorted(set(starts), reverse=True) or starts[-1] != 0:
            raise ValueError("tiers must fall from the best to one that begins at 0")
        return self


class Change(Strict):
    """What one kind says otherwise about an option of a shared signal."""

    effect: Factor | None = None
    doubt: Doubt | None = None
    share: Annotated[float, Field(ge=0)] | None = None
    reason: Line | None = None


class KindText(Strict):
    """The head of a kind's file.

    Attributes
    ----------
    make : float or None
        How far prices move with one standard deviation of make (log); without it no sign is a
        tell.
    of_hundred : float
        How many of a hundred pieces that come in are of this kind: an opinion, by which the first
        screen of a shop without things of its own is ordered.
    """

    id: Ident
    name: Line
    plural: Line
    includes: tuple[Line, ...]
    anchor: Annotated[float, Field(gt=0)]
    anchor_doubt: Doubt
    make: Annotated[float, Field(gt=0, le=2)] | None = None
    of_hundred: Annotated[float, Field(ge=0, le=100)] = 0.0
    reason: Line
    zones: tuple[Ident, ...]
    uses: tuple[Ident, ...] = ()
