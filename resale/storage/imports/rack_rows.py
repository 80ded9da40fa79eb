"""Many valued items as rows of text, for a file or another program."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.rule_book import Kind
from resale.pricing.valuation.next_check import STOP, best_checks
from resale.pricing.valuation.tiers import ROUTES, Index
from resale.pricing.valuation.valuer import Valuations, Valuer
from resale.storage.imports.item_files import ItemFile

HEADING = (
    "item",
    "kind",
    "estimate",
    "low",
    "high",
    "ticket",
    "tier",
    "tier_chance",
    "route",
    "why",
    "rests_on",
    "next_check",
)
CHUNK = 5_000
LEVEL = "Sales of this kind"


@dataclass(frozen=True)
class RackRows:
    """Turns items into rows.

    Attributes
    ----------
    top : int
        How many contributions to name, the largest first.
    tier_names : dict
        The shop's own names by tier id.
    invented : bool
        Whether the sales are those of the invented shop; every row then says so.
    """

    valuer: Valuer
    top: int = 3
    tier_names: dict[str, str] = field(default_factory=dict)
    invented: bool = False

    def rows(self, file: ItemFile, chosen: slice) -> Iterator[tuple[str, ...]]:
        """Value some of the good rows of a file and write each as cells of `HEADING`.

        Money has the currency's decimals and a point; a band without an end reads ``inf``.
        """
        readings = _part(file.readings, chosen)
        now = self.valuer.value(readings)
        money = f"{{:.{now.decimals}f}}".format
        tiers = [self.tier_names.get(t.id, t.name) for t in self.valuer.book.book.tiers]
        chance = now.chances[np.arange(len(readings)), now.tier]
        columns = (
            file.items[chosen],
            (self._kinds[place].id for place in readings.kinds),
            map(money, now.estimate.tolist()),
            map(money, now.low.tolist()),
            map(money, now.high.tolist()),
            map(money, now.ticket.tolist()),
            (tiers[place] for place in now.tier),
            map("{:.2f}".format, chance.tolist()),
            (ROUTES[place].replace("_", " ").capitalize() for place in now.route),
            self._why(readings, now),
            (self._rests_on[place] for place in readings.kinds),
            self._next_checks(readings, now),
        )
        yield from zip(*columns, strict=True)

    @cached_property
    def _kinds(self) -> tuple[Kind, ...]:
        return tuple(self.valuer.book.kinds.values())

    @cached_property
    def _rests_on(self) -> list[str]:
        """What the band of each kind rests on."""
        scores, sales = self.valuer.model.scores, int(self.valuer.model.sales)
        if sales == 0:
            return ["rule book alone"] * len(self._kinds)
        sold = [scores.counts.get(place, 0) for place in range(len(self._kinds))]
        what = "invented sales" if self.invented else "sales"
        return [
            f"{own} {what} of this kind"
            if scores.rests_on_group(place)
            else f"{own} {what} of this kind and {sales} of all kinds"
            for place, own in enumerate(sold)
        ]

    def _why(self, readings: Readings, now: Valuations) -> Iterator[str]:
        """Largest contributions of each item as text: ``Front +14.20; Collar -3.10``."""
        level, rules, sales = now.in_minor_units
        money = np.column_stack([rules + sales, level])
        order = np.argsort(-np.abs(money), axis=1, kind="stable")[:, : self.top]
        names = self._names
        written = f"{{}} {{:+.{now.decimals}f}}".format
        unit = 10**now.decimals
        largest = np.take_along_axis(money, order, axis=1) / unit
        for row, (places, amounts) in enumerate(zip(order.tolist(), largest.tolist(), strict=True)):
            own = names[readings.kinds[row]]
            yield "; ".join(
                written(own[place], amount)
                for place, amount in zip(places, amounts, strict=True)
                if amount
            )

    @cached_property
    def _names(self) -> list[list[str]]:
        """What each column of the money shares is called, by kind."""
        last = ("Label", "Season", LEVEL)
        return [
            [kind.by_id[s].name if s in kind.by_id else "" for s in self.valuer.book.signal_ids]
            + list(last)
            for kind in self._kinds
        ]

    def _next_checks(self, readings: Readings, now: Valuations) -> Iterator[str]:
        best: Index = best_checks(self.valuer, readings, now).signal
        for place, signal in zip(readings.kinds, best, strict=True):
            yield "stop" if signal == STOP else self._kinds[place].signals[signal].name


def chunks(count: int) -> list[slice]:
    """Parts of a file to value one after another, so that memory stays small."""
    return [slice(start, start + CHUNK) for start in range(0, count, CHUNK)]


def _part(readings: Readings, chosen: slice) -> Readings:
    return Readings(
        readings.kinds[chosen],
        readings.codes[chosen],
        readings.labels[chosen],
        readings.seasons[chosen],
    )
