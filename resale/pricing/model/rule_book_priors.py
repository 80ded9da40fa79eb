"""The rule book as the regression takes it, and items of the book as its codes.

A finding has a place and an extent. Here it becomes two ladders: how far it goes, wherever it is,
and how far it goes where it is seen. Both only ever lower a price, so the whole keeps its order.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import numpy.typing as npt

from resale.garments.dating.collectable import AGE_SIGN
from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.rule_book import Kind, RuleBook
from resale.garments.rulebook.signals import EXTENTS, Signal, finding_id
from resale.pricing.make.age import OldWear
from resale.pricing.make.tells import Loadings, make_of, tells_of
from resale.pricing.model.columns.encoding import Encoder
from resale.pricing.model.columns.prior_columns import QUARTER
from resale.pricing.model.columns.terms import UNKNOWN, Array, Coded, Codes
from resale.pricing.model.priors import Direction, Opinions, Priors

KIND, LABEL, SEASON = "kind", "label", "season"
# The doubt of what a standard deviation of make moves, as a part of it: an opinion, no source.
MAKE_DOUBT = 0.3
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


def inputs_of(signal: Signal) -> tuple[str, ...]:
    """Names of the inputs that a signal fills."""
    if signal.shape == "finding":
        return anywhere(signal.id), where_seen(signal.id)
    return (signal.id,)


def priors_of(book: RuleBook, loadings: Loadings | None = None) -> Priors:
    """Everything that the book believes before any sale.

    Parameters
    ----------
    book : RuleBook
    loadings : mapping of kind id to ndarray, optional
        How its tells go together, as learned from readings; the book's own where omitted.

    Returns
    -------
    Priors
    """
    inputs: dict[tuple[str, str], Opinions] = {}
    order: dict[str, Direction] = {}
    freed: set[tuple[str, str]] = set()
    for kind in book.kinds.values():
        for signal in kind.signals:
            if not signal.ordered:
                freed |= {(kind.id, name) for name in inputs_of(signal)}
            if signal.shape == "finding":
                extent, seen = _finding_opinions(signal)
                inputs[kind.id, anywhere(signal.id)] = extent
                inputs[kind.id, where_seen(signal.id)] = seen
                order[anywhere(signal.id)] = order[where_seen(signal.id)] = "falling"
            else:
                inputs[kind.id, signal.id] = _opinions(signal, kind)
                if signal.shape == "ladder":
                    order[signal.id] = "rising"
    users = Counter(name for _, name in inputs)
    make = {kind.id: kind.text.make for kind in book.kinds.values() if kind.text.make}
    return Priors(
        inputs,
        anchor={kind.id: float(np.log(kind.text.anchor)) for kind in book.kinds.values()},
        anchor_doubt={kind.id: kind.text.anchor_doubt for kind in book.kinds.values()},
        level_doubt=book.book.level_doubt,
        departure=book.book.departure_doubt,
        noise=book.book.noise,
        order=order,
        make=make,
        make_doubt={kind: MAKE_DOUBT * g for kind, g in make.items()},
        lift=_lift(book, loadings or {}),
        pooled=frozenset(name for name, kinds in users.items() if kinds > 1),
        freed=frozenset(freed),
    )


def _lift(book: RuleBook, loadings: Loadings) -> dict[tuple[str, str], tuple[float, ...]]:
    """How far each step of a ladder of tells moves make, beside all other tells of the kind.

    There it moves it least; what holds there holds for every item.
    """
    found = {}
    for kind in book.kinds.values():
        tells = tells_of(kind, loadings.get(kind.id))
        total = 1 + tells.weight.sum()
        for place, signal in enumerate(tells.signals):
            if signal.shape == "ladder":
                steps = np.diff(tells.points(place)) / tells.g / total
                found[kind.id, signal.id] = tuple(steps.tolist())
    return found


def _opinions(signal: Signal, kind: Kind) -> Opinions:
    """Opinions on the options; a tell acts through make, so its options do nothing besides."""
    tell = kind.text.make is not None and signal.counts == "tell"
    return Opinions(
        {o.id: 0.0 if tell else float(np.log(o.effect)) for o in signal.options},
        {option.id: option.doubt for option in signal.options},
        {option.id: option.share for option in signal.options},
    )


def _finding_opinions(signal: Signal) -> tuple[Opinions, Opinions]:
    log = {option.id: float(np.log(option.effect)) for option in signal.options}
    share = {option.id: option.share for option in signal.options}
    doubt = dict.fromkeys(EXTENT_LEVELS, signal.options[0].doubt)
    extents = range(1, EXTENTS + 1)
    hidden = [log["none"], *(log[finding_id("hidden", extent)] for extent in extents)]
    extra = [0.0, *(log[finding_id("seen", e)] - log[finding_id("hidden", e)] for e in extents)]
    shown = [share[finding_id("seen", extent)] for extent in extents]
    both = [shown[e - 1] + share[finding_id("hidden", e)] for e in extents]
    return (
        Opinions(_levels(hidden), doubt, _levels([share["none"], *both])),
        Opinions(_levels(extra), doubt, _levels([1 - sum(shown), *shown])),
    )


def _levels(values: list[float]) -> Mapping[str, float]:
    return dict(zip(EXTENT_LEVELS, values, strict=True))


def _centred(signal: Signal) -> Array:
    """Log effect of each option less the mean over shares."""
    log = np.log([option.effect for option in signal.options])
    share = np.array([option.share for option in signal.options])
    return np.asarray(log - share @ log / share.sum())


def word_codes(words: Sequence[str], known: Sequence[str], count: int) -> Codes:
    """Place of each word among those known, -1 for any other or for none at all.

    Parameters
    ----------
    words : sequence of str
        One for each item; empty where it has none.
    known : sequence of str
    count : int
        Items: where there are no words at all, each has none.

    Returns
    -------
    ndarray of int16, shape (count,)
    """
    place = {word: code for code, word in enumerate(known)}
    if not place or not words:
        return np.full(count, UNKNOWN, dtype=np.int16)
    return np.array([place.get(word, UNKNOWN) for word in words], dtype=np.int16)


@dataclass(frozen=True)
class BookCoder:
    """Turns readings of a book into the codes of an encoder made from some of its kinds.

    Attributes
    ----------
    old_wear_counts : float
        What of a fault counts on a thing that is wanted for its age, as where prices are given.
    """

    book: RuleBook
    encoder: Encoder
    loadings: Loadings = field(default_factory=dict)
    old_wear_counts: float = 1.0

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

    def code(
        self,
        readings: Readings,
        quarters: Sequence[str] = (),
        further: Mapping[str, Sequence[str]] | None = None,
    ) -> Coded:
        """Write readings as codes, make and how much each fault counts.

        Parameters
        ----------
        readings : Readings
        quarters : sequence of str
            Quarter in which each was sold; empty for the level of today.
        further : mapping of input name to sequence of str, optional
            Words of inputs that are neither of the book nor of the readings.

        Returns
        -------
        Coded
        """
        said = {LABEL: readings.labels, SEASON: readings.seasons, QUARTER: quarters}
        said |= further or {}
        codes = np.full((len(readings), len(self.encoder.discrete)), UNKNOWN, dtype=np.int16)
        for place, (column, translate) in enumerate(self._source):
            if column == UNKNOWN:
                known = self.encoder.levels[place]
                words = said.get(self.encoder.discrete[place], ())
                codes[:, place] = word_codes(words, known, len(readings))
            else:
                raw = readings.codes[:, column]
                codes[:, place] = raw if translate is None else translate[raw]
        make, precision = make_of(self.book, readings, self.loadings)
        numbers = np.zeros((len(readings), len(self.encoder.numeric)))
        vague = np.zeros_like(numbers)
        if numbers.shape[1]:
            numbers[:, 0], vague[:, 0] = make, 1 / precision
        group = self._groups[readings.kinds]
        return Coded(group, codes, numbers, vague, self._strength(readings))

    @cached_property
    def _groups(self) -> npt.NDArray[np.intp]:
        """Place of each kind of the book among the groups of the encoder; -1 where it is none."""
        place = {group: number for number, group in enumerate(self.encoder.groups)}
        return np.array([place.get(kind, UNKNOWN) for kind in self.book.kinds], dtype=np.intp)

    def _strength(self, readings: Readings) -> Array | None:
        """How much each input counts: faults beside worse ones less, in the order of the book.

        What is wanted for its age bears wear better, by the same rule as where prices are given.
        """
        if self.book.book.further_wear == self.old_wear_counts == 1:
            return None
        shares = np.ones((len(readings), len(self.book.signal_ids) + 1))
        for place, kind in enumerate(self.book.kinds.values()):
            rows = np.flatnonzero(readings.kinds == place)
            faults = [signal for signal in kind.signals if signal.about == "wear"]
            columns = np.array([self.book.signal_ids.index(s.id) for s in faults], dtype=np.intp)
            effect = np.zeros((len(rows), len(faults)))
            for at, signal in enumerate(faults):
                # Not looked at, -1, is the last entry.
                alone = np.append(_centred(signal), 0.0)
                effect[:, at] = alone[readings.codes[rows, columns[at]]]
            age, old = OldWear.of(kind, self.old_wear_counts), np.zeros(len(rows), dtype=bool)
            if age.place >= 0:
                asked = self.book.signal_ids.index(AGE_SIGN)
                old = np.isin(readings.codes[rows, asked], age.answers)
            counts = age.counted(effect, old, self.book.book.further_wear)[1]
            shares[np.ix_(rows, columns)] = counts
        # Inputs that are no signal of the book (-1) take the last column, which counts in full.
        return shares[:, [column for column, _ in self._source]]

    def columns_of(self, kind: Kind, signal: Signal) -> list[tuple[int, Codes]]:
        """Inputs that a signal of a kind fills, with the code of each option.

        Parameters
        ----------
        kind : Kind
        signal : Signal

        Returns
        -------
        list of (int, ndarray of int16)
            Place of the input, and the code in it for each option of the signal.
        """
        options = np.arange(len(signal.options), dtype=np.int16)
        if signal.shape == "finding":
            return [
                (self.encoder.discrete.index(anywhere(signal.id)), ANYWHERE[options]),
                (self.encoder.discrete.index(where_seen(signal.id)), WHERE_SEEN[options]),
            ]
        return [(self.encoder.discrete.index(signal.id), options)]
