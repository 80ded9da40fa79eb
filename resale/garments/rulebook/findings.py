"""How a wear finding is written in the rule book: ten factors in two rows, not ten options.

A finding is a fault with a place and an extent. Writing out each of its options would bury the
opinion under repetition, so the file gives the factors of the five extents at each place, and
this module spells out the options.
"""

from __future__ import annotations

from typing import Annotated, Any, Self

from pydantic import Field, model_validator

from resale.garments.rulebook.field_types import Doubt, Factor, Line, Share, Strict
from resale.garments.rulebook.signals import EXTENTS, NONE, PLACES, FindingGate, finding_id

Five = Annotated[tuple[Factor, ...], Field(min_length=EXTENTS, max_length=EXTENTS)]
FiveShares = Annotated[tuple[Share, ...], Field(min_length=EXTENTS, max_length=EXTENTS)]
FiveLines = Annotated[tuple[Line, ...], Field(min_length=EXTENTS, max_length=EXTENTS)]


class FindingText(Strict):
    """The short form of a finding's options.

    Attributes
    ----------
    extents : tuple of str
        What extent 1 to 5 means in words ('a pinhead', ...).
    hidden, seen : tuple of float
        Factor for each extent, where it is hidden and where it shows when worn.
    doubt : float
        Doubt (log price) of each step.
    hidden_share, seen_share : tuple of float
        How common each is; what is left over is the share of 'none'.
    none_effect : float
        Factor of having looked and found none; close to 1.
    """

    extents: FiveLines
    hidden: Five
    seen: Five
    doubt: Doubt
    hidden_share: FiveShares
    seen_share: FiveShares
    reason: Line
    none_effect: Factor = 1.0
    gates: tuple[FindingGate, ...] = ()

    @model_validator(mode="after")
    def _leaves_room_for_none(self) -> Self:
        if sum(self.hidden_share) + sum(self.seen_share) >= 1:
            raise ValueError("hidden_share and seen_share leave no share for 'none'")
        return self

    def options(self) -> list[dict[str, Any]]:
        """Spell out the eleven options: none, hidden 1 to 5, seen 1 to 5."""
        rows = [self._row("None", self.none_effect, self._none_share(), "", 0)]
        for place in PLACES:
            for extent in range(1, EXTENTS + 1):
                effect = getattr(self, place)[extent - 1]
                share = getattr(self, f"{place}_share")[extent - 1]
                name = f"{place.capitalize()}, {self.extents[extent - 1]}"
                rows.append(self._row(name, effect, share, place, extent))
        return rows

    def _none_share(self) -> float:
        return 1 - sum(self.hidden_share) - sum(self.seen_share)

    def _row(
        self, name: str, effect: float, share: float, place: str, extent: int
    ) -> dict[str, Any]:
        met = [gate for gate in self.gates if gate.applies_to(place, extent)]
        return {
            "id": finding_id(place, extent) if extent else NONE,
            "name": name,
            "effect": effect,
            "doubt": self.doubt,
            "share": share,
            "reason": self.reason,
            "gate": met[-1].model_dump(exclude={"place", "from_extent"}) if met else None,
        }
