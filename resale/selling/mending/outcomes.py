"""What things would be worth in every state that mending may leave them in, many in one call."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import prod

import numpy as np

from resale.garments.rulebook.readings import Readings, option_code
from resale.pricing.model.columns.terms import Array
from resale.pricing.valuation.tiers import ROUTES
from resale.pricing.valuation.valuer import Valuer
from resale.selling.markdown.terms import SellingTerms
from resale.selling.mending.enumerate import Case, Choice, best_choice

MOST_OUTCOMES = 4096
MOST_SETS = 2**18
# So many outcomes are valued in one call: enough to waste no time, and some ten megabytes.
AT_ONCE = 16_384
# Options that each signal may end in, the present one first.
States = Mapping[str, list[str]]


@dataclass(frozen=True)
class Worth:
    """What one thing would be worth in each outcome.

    Attributes
    ----------
    money : ndarray
        One axis a signal, its present option first.
    route : str
        Of the thing as it is.
    """

    money: Array
    route: str


def states_of(cases: Sequence[Case]) -> States:
    """Options that each signal may end in, the present one first."""
    states: dict[str, list[str]] = {}
    for case in cases:
        for signal, step in case.steps.items():
            options = states.setdefault(signal, [step.now])
            options += [left for left in (step.works, step.fails) if left not in options]
    return states


def count_of(states: States) -> int:
    """How many outcomes these are."""
    return prod(len(options) for options in states.values())


def sets_of(cases: Sequence[Case]) -> int:
    """How many sets of remedies there are at most."""
    return prod(1 + sum(signal in case.steps for case in cases) for signal in states_of(cases))


def worths(
    valuer: Valuer, readings: Readings, terms: SellingTerms, states: Sequence[States]
) -> Iterator[Worth]:
    """Value every thing in every outcome.

    Parameters
    ----------
    valuer : Valuer
    readings : Readings
        n things.
    terms : SellingTerms
    states : sequence of n mappings

    Yields
    ------
    Worth
        Of each thing, in order.
    """
    counts = np.array([count_of(one) for one in states], dtype=np.intp)
    batch = np.cumsum(counts) // AT_ONCE
    for number in np.unique(batch):
        rows = np.flatnonzero(batch == number).tolist()
        codes = np.vstack([_codes(valuer, readings, row, states[row]) for row in rows])
        item = np.repeat(rows, counts[rows])
        labels = tuple(readings.labels[row] for row in item)
        valued = valuer.value(Readings(readings.kinds[item], codes, labels))
        gone = valued.route == ROUTES.index("pass_on")
        money = np.where(gone, terms.pass_on_value, valued.mean)
        first = 0
        for row in rows:
            last = first + counts[row]
            shape = tuple(len(options) for options in states[row].values())
            yield Worth(money[first:last].reshape(shape), ROUTES[valued.route[first]])
            first = last


def _codes(valuer: Valuer, readings: Readings, row: int, states: States) -> np.ndarray:
    """Readings of one thing in each outcome, in the order of the axes."""
    book = valuer.book
    kind = tuple(book.kinds.values())[readings.kinds[row]]
    shape = tuple(len(options) for options in states.values())
    codes = np.repeat(readings.codes[row : row + 1], prod(shape), axis=0)
    place = np.indices(shape).reshape(len(shape), len(codes))
    for axis, (signal, options) in enumerate(states.items()):
        known = np.array([option_code(kind, signal, option) for option in options])
        codes[:, book.signal_ids.index(signal)] = known[place[axis]]
    return np.asarray(codes)


@dataclass(frozen=True)
class Few:
    """Leaves out what brings least alone where the outcomes of one thing are too many."""

    valuer: Valuer
    readings: Readings
    terms: SellingTerms
    most: int

    def of(self, cases: list[Case]) -> list[Case]:
        """Cases that are few enough."""
        if self._few(cases):
            return cases
        alone = {case.remedy.id: self._alone(case).gains[0] - case.cost for case in cases}
        considered = sorted(cases, key=lambda case: -alone[case.remedy.id])
        while considered and not self._few(considered):
            considered.pop()
        return [case for case in cases if case in considered]

    def _few(self, cases: list[Case]) -> bool:
        return count_of(states_of(cases)) <= self.most and sets_of(cases) <= MOST_SETS

    def _alone(self, case: Case) -> Choice:
        states = states_of([case])
        (worth,) = worths(self.valuer, self.readings, self.terms, [states])
        return best_choice([case], states, worth.money, self.terms.gain_share)
