"""Many valued items as rows of text, for a file: each says what the screens would say of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.rule_book import Kind, RuleBook
from resale.garments.rulebook.signals import Signal
from resale.pricing.valuation.next_check import STOP, best_checks
from resale.pricing.valuation.shown_contributions import FOR_ITS_AGE
from resale.pricing.valuation.tiers import ROUTES, Index
from resale.pricing.valuation.valuations import Valuations
from resale.pricing.valuation.valuer import Valuer
from resale.safety.required_looks import missing_looks
from resale.services.items.beside_signs import said_of_care, said_of_size
from resale.services.standing.decide import decide
from resale.services.standing.desk import Desk
from resale.services.standing.fresh import holds_of_inputs
from resale.services.standing.standing import Standing, standing_of
from resale.services.standing.unpriced import unpriced
from resale.storage.imports.cells.item_cells import NOT_LOOKED, folded, named_option
from resale.storage.imports.items.item_files import ItemFile
from resale.storage.ledger.looked import names_of

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
    "reason",
    "why",
    "rests_on",
    "next_check",
    "holds",
    "look_first",
    "size_says",
    "care_says",
)
# Those of them that are numbers.
NUMBERS = ("estimate", "low", "high", "ticket", "tier_chance")
CHUNK = 5_000
LEVEL = "Sales of this kind"


@dataclass(frozen=True)
class RackRows:
    """Turns items into rows.

    Attributes
    ----------
    top : int
        How many contributions to name, the largest first.
    desk : Desk
        Prices and terms by which the screens decide as well.
    """

    desk: Desk
    top: int = 3

    @property
    def valuer(self) -> Valuer:
        """The prices in use."""
        return self.desk.valuer

    def rows(self, file: ItemFile, chosen: slice) -> Iterator[tuple[str, ...]]:
        """Value some of the good rows of a file and write each as cells of `HEADING`.

        Money has the currency's decimals and a point; a band without an end reads ``inf``.

        Parameters
        ----------
        file : ItemFile
        chosen : slice
            Which of its good rows.
        """
        readings = _part(file.readings, chosen)
        now = self.valuer.value(readings)
        money = f"{{:.{now.decimals}f}}".format
        settings = self.desk.settings
        tiers = [settings.tier_names.get(t.id, t.name) for t in self.valuer.book.book.tiers]
        chance = now.chances[np.arange(len(readings)), now.tier]
        inputs = list(inputs_of(file, chosen, self.valuer.book))
        missing = [self._missing(item_inputs) for item_inputs in inputs]
        standings = self._standings(inputs, missing, readings, now)
        columns = (
            file.items[chosen],
            (self._kinds[place].id for place in readings.kinds),
            map(money, now.estimate.tolist()),
            map(money, now.low.tolist()),
            map(money, now.high.tolist()),
            ("" if s.ticket is None else money(s.ticket / 10**now.decimals) for s in standings),
            (tiers[place] for place in now.tier),
            map("{:.2f}".format, chance.tolist()),
            (one.route.replace("_", " ").capitalize() for one in standings),
            (one.reason for one in standings),
            self._why(readings, now),
            (self._rests_on[place] for place in readings.kinds),
            self._next_checks(readings, now),
            ("; ".join(hold.name for hold in one.holds) for one in standings),
            ("; ".join(names.values()) for names in missing),
            (said_of_size(one) if one.get("tape") else "" for one in inputs),
            (" ".join(said_of_care(one)) if one.get("care") else "" for one in inputs),
        )
        yield from zip(*columns, strict=True)

    def _standings(
        self,
        inputs: list[dict[str, Any]],
        missing: list[dict[str, str]],
        readings: Readings,
        now: Valuations,
    ) -> list[Standing]:
        """How each item would stand if it were saved now."""
        tiers = self.valuer.book.book.tiers
        decided = decide(self.desk, readings, now)
        rows = zip(decided, now.tier, inputs, now.route, missing, strict=True)
        return [
            standing_of(
                one,
                tiers[tier].id,
                holds_of_inputs(item_inputs, ROUTES[route]),
                look_first=names_of(names),
                unpriced=unpriced(self.valuer, self.desk.settings, item_inputs["kind"]),
            )
            for one, tier, item_inputs, route, names in rows
        ]

    def _missing(self, inputs: dict[str, Any]) -> dict[str, str]:
        """What is to be looked at before an item gets its ticket: names by id."""
        kind = self.valuer.book.kinds[inputs["kind"]]
        return {one.id: one.name for one in missing_looks(kind, inputs)}

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
        what = "invented sales" if self.desk.settings.invented else "sales"
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
        last = ("Label", "Season", FOR_ITS_AGE, LEVEL)
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


def inputs_of(file: ItemFile, chosen: slice, book: RuleBook) -> Iterator[dict[str, Any]]:
    """What a save of each row would keep: answers, measures as typed, and the texts of its line.

    Parameters
    ----------
    file : ItemFile
    chosen : slice
        Which of its good rows.
    book : RuleBook
    """
    heading = {name: place for place, name in enumerate(file.table.heading)}
    kinds = tuple(book.kinds.values())
    readings = _part(file.readings, chosen)
    sizes, notes, looks = file.sizes[chosen], file.notes[chosen], file.looks[chosen]
    tapes, cares = file.tapes[chosen], file.cares[chosen]
    measured = {
        kind.id: [s for s in kind.signals if s.measure is not None and s.id in heading]
        for kind in kinds
    }
    for row, place in enumerate(file.good[chosen]):
        kind, cells = kinds[readings.kinds[row]], file.table.rows[place]
        choices = readings.choices(book, row)
        typed = {
            signal.id: cells[heading[signal.id]]
            for signal in measured[kind.id]
            if _is_typed(cells[heading[signal.id]], signal)
        }
        texts = {"size": sizes[row], "note": notes[row]}
        # Written only where there is any, as the Bench does.
        texts |= {name: text for name, text in (("tape", tapes[row]), ("care", cares[row])) if text}
        yield {
            "kind": kind.id,
            "label": readings.labels[row],
            "choices": choices,
            "typed": typed,
            "looks": dict(looks[row]) if looks else {},
            **texts,
        }


def _is_typed(cell: str, signal: Signal) -> bool:
    """Whether a cell holds a measure as a sorter writes it, and not the name of an answer."""
    said = signal.measure is not None and folded(cell) not in NOT_LOOKED
    return said and named_option(cell, signal) is None


def _part(readings: Readings, chosen: slice) -> Readings:
    return Readings(
        readings.kinds[chosen],
        readings.codes[chosen],
        readings.labels[chosen],
        readings.seasons[chosen],
    )
