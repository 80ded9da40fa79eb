"""What is believed before any sale, as the regression takes it: no word about clothes."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

Direction = Literal["rising", "falling"]
ByLevel = Mapping[str, float]


@dataclass(frozen=True)
class Opinions:
    """Starting opinions on one input, for all groups or for one.

    Attributes
    ----------
    effect : mapping of level to float
        Log effect of each level on the price, on any common origin.
    doubt : mapping of level to float
        Standard deviation of that opinion (log price); on a ladder, of the step up into the level.
    share : mapping of level to float
        How common each level is among items of the group.
    """

    effect: ByLevel
    doubt: ByLevel
    share: ByLevel


@dataclass(frozen=True)
class Priors:
    """Everything believed before any sale.

    Attributes
    ----------
    inputs : mapping of (group, input) to Opinions
    anchor, anchor_doubt : mapping of group to float
        Log price of an average item, and the doubt of it.
    level_doubt : float
        Doubt (log) of the price level of all groups together.
    departure : float
        A group departs from a shared effect by this part of its doubt.
    noise : float
        Standard deviation of log price when everything has been looked at.
    order : mapping of input to {'rising', 'falling'}
    freed : frozenset of (group, input)
        Ordered inputs whose order need not hold in a group.
    make, make_doubt : mapping of group to float
        Log price that one standard deviation of make moves, and the doubt of that; empty where
        nothing is a tell of make.
    lift : mapping of (group, input) to tuple of float
        How far each step of a ladder of tells moves make where everything was looked at.
    pooled : frozenset of str
        Inputs from which a group departs even where it is the only one here that has them.
    """

    inputs: Mapping[tuple[str, str], Opinions]
    anchor: Mapping[str, float]
    anchor_doubt: Mapping[str, float]
    level_doubt: float
    departure: float
    noise: float
    order: Mapping[str, Direction] = field(default_factory=dict)
    make: Mapping[str, float] = field(default_factory=dict)
    make_doubt: Mapping[str, float] = field(default_factory=dict)
    lift: Mapping[tuple[str, str], tuple[float, ...]] = field(default_factory=dict)
    pooled: frozenset[str] = frozenset()
    freed: frozenset[tuple[str, str]] = frozenset()

    def of(self, groups: Collection[str]) -> Priors:
        """Keep what concerns these groups alone; what others share stays shared."""
        return replace(
            self,
            inputs={place: said for place, said in self.inputs.items() if place[0] in groups},
            anchor={group: log for group, log in self.anchor.items() if group in groups},
            order={name: way for name, way in self.order.items() if self._has(name, groups)},
            lift={place: steps for place, steps in self.lift.items() if place[0] in groups},
            freed=frozenset(place for place in self.freed if place[0] in groups),
        )

    def _has(self, name: str, groups: Collection[str]) -> bool:
        return any((group, name) in self.inputs for group in groups)
