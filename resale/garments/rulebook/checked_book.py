"""What a rule book is once it was read and checked: kinds with their signals, tiers and zones."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from resale.garments.rulebook.schema import Book, KindText, Tier
from resale.garments.rulebook.signals import Signal


@dataclass(frozen=True)
class Kind:
    """One kind of item with its signals in the order that the hand moves.

    Attributes
    ----------
    anchor : float
        Median sale price of an average item of this kind, in the shop's currency.
    anchor_doubt : float
        Standard deviation of that opinion in log price.
    """

    text: KindText
    signals: tuple[Signal, ...]

    @property
    def id(self) -> str:
        """Id of the kind."""
        return self.text.id

    @cached_property
    def by_id(self) -> Mapping[str, Signal]:
        """Signals by id."""
        return {signal.id: signal for signal in self.signals}

    @cached_property
    def holding(self) -> frozenset[str]:
        """Ids of the signals that have an answer which holds the item by a gate of the book."""
        return frozenset(
            signal.id
            for signal in self.signals
            if any(one.gate and one.gate.route == "hold" for one in signal.options)
        )

    def by_zone(self) -> list[tuple[str, list[Signal]]]:
        """Signals grouped by zone, zones in the order of the hand."""
        return [
            (zone, [signal for signal in self.signals if signal.zone == zone])
            for zone in self.text.zones
        ]


@dataclass(frozen=True)
class RuleBook:
    """The checked book.

    Attributes
    ----------
    fingerprint : str
        SHA-256 over the files in order; a stored valuation and a model keep it.
    """

    book: Book
    kinds: Mapping[str, Kind]
    fingerprint: str

    @property
    def version(self) -> str:
        """Version that the author gave the book."""
        return self.book.version

    @cached_property
    def signal_ids(self) -> tuple[str, ...]:
        """Ids of all signals of all kinds, each once, in book order."""
        seen: dict[str, None] = {}
        for kind in self.kinds.values():
            seen.update(dict.fromkeys(kind.by_id))
        return tuple(seen)

    @cached_property
    def zone_names(self) -> Mapping[str, str]:
        """Zone names by id."""
        return {zone.id: zone.name for zone in self.book.zones}

    def of(self, kinds: Collection[str]) -> RuleBook:
        """Give the same book with these kinds alone, in the order of the book."""
        return replace(self, kinds={name: k for name, k in self.kinds.items() if name in kinds})

    def tier(self, tier_id: str) -> Tier:
        """Return the tier with this id."""
        return next(tier for tier in self.book.tiers if tier.id == tier_id)
