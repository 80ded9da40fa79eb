"""The rule book as the regression takes it, and items of the book as its codes.

A finding has a place and an extent. Here it becomes two ladders: how far it goes, wherever it is,
and how far it goes where it is seen. Both only ever lower a price, so the whole keeps its order.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.rule_book import Kind, RuleBook
from resale.garments.rulebook.signals import EXTENTS, Signal, finding_id
from resale.pricing.model.encoding import Encoder
from resale.pricing.model.priors import Beliefs, Direction, Opinions
from resale.pricing.model.terms import UNKNOWN, Coded, Codes

KIND, LABEL, SEASON = "kind", "label", "season"
EXTENT_LEVELS = tuple(str(extent) for extent in range(EXTENTS + 1))
# Option codes of a finding (none, hidden 1 to 5, seen 1 to 5) as extent anywhere, extent seen.
ANYWHERE = np.array([0, *range(1, EXTENTS + 1), *range(1, EXTENTS + 1), UNKNOWN], dtype=np.int16)
WHERE_SEEN = np.array([0, *[0] * EXTENTS, *range(1, EXTENTS + 1), UNKNOWN], dtype=np.int16)


def anywhere(signal_id: str) -> str:
    """Input name of how far a finding goes, wherever it is."""
    return f"{signal_id}, anywhere"


def where_seen(signal_id: str) -> str:
    """Input name of how far a finding goes where it is seen when worn."""
    return f"{signal_id}, where seen"


def beliefs_of(book: RuleBook) -> Beliefs:
    """Everything that the book believes before any sale."""
    inputs: dict[tuple[str, str], Opinions] = {}
    order: dict[str, Direction] = {}
    for kind in book.kinds.values():
        for signal in kind.signals:
            if signal.shape == "finding":
                extent, seen = _finding_opinions(signal)
                inputs[kind.id, anywhere(signal.id)] = extent
                inputs[kind.id, where_seen(signal.id)] = seen
                order[anywhere(signal.id)] = order[where_seen(signal.id)] = "falling"
            else:
                inputs[kind.id, signal.id] = _opinions(signal)
                if signal.shape == "ladder":
                    order[signal.id] = "rising"
    return Beliefs(
        inputs,
        anchor={kind.id: float(np.log(kind.text.anchor)) for kind in book.kinds.values()},
        anchor_doubt={kind.id: kind.text.anchor_doubt for kind in book.kinds.values()},
        level_doubt=book.book.level_doubt,
        departure=book.book.departure_doubt,
        noise=book.book.noise,
        order=order,
    )


def _opinions(signal: Signal) -> Opinions:
    return Opinions(
        {option.id: float(np.log(option.effect)) for option in signal.options},
        {option.id: option.doubt for option in signal.options},
        {option.id: option.share for option in signal.options},
    )


def _finding_opinions(signal: Signal) -> tuple[Opinions, Opinions]:
    log = {option.id: float(np.log(option.effect)) for option in signal.options}
    share = {option.id: option.share for option in signal.options}
    doubt = dict.fromkeys(EXTENT_LEVELS, signal.options[0].doubt)
    extents = range(1, EXTENTS + 1)
    hidden = [log["none"], *(log[finding_id("hidden", extent)] for extent in extents)]
    extra = [
        0.0, *(log[finding_id("seen", e)] - log[finding_id("hidden", e)] for e in extents)
    ]  # fmt: skip
    shown = [share[finding_id("seen", extent)] for extent in extents]
    both = [shown[e - 1] + share[finding_id("hidden", e)] for e in extents]
    return (
        Opinions(_levels(hidden), doubt, _levels([share["none"], *both])),
        Opinions(_levels(extra), doubt, _levels([1 - sum(shown), *shown])),
    )


def _levels(values: list[float]) -> Mapping[str, float]:
    return dict(zip(EXTENT_LEVELS, values, strict=True))


def word_codes(words: Sequence[str], known: Sequence[str], count: int) -> Codes:
    """Place of each word among those known, -1 for any other or for none at all."""
    place = {word: code for code, word in enumerate(known)}
    if not place or not words:
        return np.full(count, UNKNOWN, dtype=np.int16)
    return np.array([place.get(word, UNKNOWN) for word in words], dtype=np.int16)


@dataclass(frozen=True)
class BookCoder:
    """Turns readings of a book into the codes of an encoder made from that book."""

    book: RuleBook
    encoder: Encoder

    @cached_property
    def _source(self) -> list[tuple[int, Codes | None]]:
        """For each discrete input: signal column of the readings, and how its codes translate."""
        place = {signal_id: column for column, signal_id in enumerate(self.book.signal_ids)}
        source: dict[str, tuple[int, Codes | None]] = {}
        for signal_id, column in place.items():
            source[signal_id] = (column, None)
            source[anywhere(signal_id)] = (column, ANYWHERE)
            source[where_seen(signal_id)] = (column, WHERE_SEEN)
        return [source.get(name, (UNKNOWN, None)) for name in self.encoder.discrete]

    def code(self, readings: Readings) -> Coded:
        """Codes of the encoder, shape (n, inputs)."""
        codes = np.full((len(readings), len(self.encoder.discrete)), UNKNOWN, dtype=np.int16)
        for place, (column, translate) in enumerate(self._source):
            if column == UNKNOWN:
                codes[:, place] = self._extra_codes(readings, place)
            else:
                raw = readings.codes[:, column]
                codes[:, place] = raw if translate is None else translate[raw]
        return Coded(readings.kinds, codes, np.empty((len(readings), 0)))

    def _extra_codes(self, readings: Readings, place: int) -> Codes:
        """Codes of what the book does not know: labels and seasons, named by the sales."""
        words = readings.labels if self.encoder.discrete[place] == LABEL else readings.seasons
        return word_codes(words, self.encoder.levels[place], len(readings))

    def columns_of(self, kind: Kind, signal: Signal) -> list[tuple[int, Codes]]:
        """Inputs that a signal of a kind fills, with the code of each option."""
        options = np.arange(len(signal.options), dtype=np.int16)
        if signal.shape == "finding":
            return [
                (self.encoder.discrete.index(anywhere(signal.id)), ANYWHERE[options]),
                (self.encoder.discrete.index(where_seen(signal.id)), WHERE_SEEN[options]),
            ]
        return [(self.encoder.discrete.index(signal.id), options)]
