"""The arithmetic of mending: all sets of remedies tried at once, as one array of expected nets.

The worth of the item is an array with an axis a signal (in which of its possible states the
signal ends). What may be done about a signal is another short list: leave it, or one remedy. A
matrix a signal says with what chance each choice leads to each state; multiplying the worth by
these matrices, axis by axis, gives the expected worth of every set of choices at once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from resale.pricing.model.columns.terms import Array
from resale.selling.mending.remedies import Remedy, Treatment

# A set must beat doing nothing by more than rounding in the last bits.
TINY = 1e-9


@dataclass(frozen=True)
class Step:
    """One signal under one remedy: what it is now, and what is left with which chance."""

    now: str
    works: str
    fails: str
    chance: float


@dataclass(frozen=True, eq=False)
class Case:
    """A remedy on this item.

    Attributes
    ----------
    steps : mapping of signal id to Step
    cost : float
        Wage and material (money).
    """

    remedy: Remedy
    steps: Mapping[str, Step]
    cost: float

    @classmethod
    def of(
        cls,
        remedy: Remedy,
        treatments: Sequence[Treatment],
        chosen: Mapping[str, str],
        wage_a_minute: float,
    ) -> Case:
        """Fit a remedy to what was seen on the item.

        Parameters
        ----------
        remedy : Remedy
        treatments : sequence of Treatment
            Those of its signs that need it.
        chosen : mapping of str to str
            What was seen on the item, by signal.
        wage_a_minute : float
            What a minute at the bench costs, in the currency.
        """
        steps = {}
        for one in treatments:
            now = chosen[one.signal]
            steps[one.signal] = Step(now, one.after[now], one.worse.get(now, now), one.chance)
        return cls(remedy, steps, remedy.minutes * wage_a_minute + remedy.material)


@dataclass(frozen=True)
class Choice:
    """The best set and what each remedy brings (money).

    Attributes
    ----------
    gains : tuple of float
        One for each case, in their order: of a chosen one, what the set would lose without it;
        of another, what it would bring alone.
    """

    chosen: tuple[Case, ...]
    before: float
    after: float
    gain: float
    net: float
    gains: tuple[float, ...]


def best_choice(
    cases: Sequence[Case],
    states: Mapping[str, list[str]],
    worth: Array,
    gain_share: float = 1.0,
    least_net: float = 0.0,
) -> Choice:
    """Find the set of remedies with the highest expected net.

    Parameters
    ----------
    states : mapping of signal id to options
        Options that the signal may end in, the present one first; one axis of `worth` each.
    worth : ndarray
        Worth of the item in every combination of states (money).
    least_net : float
        Net that the best set has to exceed; otherwise nothing is chosen.

    Notes
    -----
    A remedy for several signals costs once. Where another remedy treats one of its signals too,
    that other one counts there, and the shared one adds nothing: the gain is never overstated.
    """
    picks = {signal: [case for case in cases if signal in case.steps] for signal in states}
    expected = _expected(picks, states, worth)
    cost, allowed = _costs(cases, picks, expected.shape)
    net = np.where(allowed, gain_share * (expected - expected.flat[0]) - cost, -np.inf)
    best = np.unravel_index(int(np.argmax(net)), net.shape)
    if net[best] <= max(least_net, TINY):
        best = (np.intp(0),) * net.ndim
    done = [_is_done(case, picks, best) for case in cases]
    gains = []
    for case, inside in zip(cases, done, strict=True):
        base = best if inside else (np.intp(0),) * net.ndim
        other = _switched(case, picks, base)
        sign = 1 if inside else -1
        gains.append(float(sign * gain_share * (expected[base] - expected[other])))
    before, after = float(expected.flat[0]), float(expected[best])
    return Choice(
        tuple(case for case, inside in zip(cases, done, strict=True) if inside),
        before,
        after,
        gain_share * (after - before),
        float(net[best]),
        tuple(gains),
    )


Place = tuple[np.intp, ...]
Picks = Mapping[str, list[Case]]


def _expected(picks: Picks, states: Mapping[str, list[str]], worth: Array) -> Array:
    """Expected worth of every set of choices: one axis a signal, 'leave it' first."""
    expected = worth
    for axis, (signal, options) in enumerate(states.items()):
        chance = np.zeros((1 + len(picks[signal]), len(options)))
        chance[0, 0] = 1.0
        for row, case in enumerate(picks[signal], start=1):
            step = case.steps[signal]
            chance[row, options.index(step.works)] += step.chance
            chance[row, options.index(step.fails)] += 1 - step.chance
        expected = np.moveaxis(np.tensordot(chance, expected, axes=(1, axis)), 0, axis)
    return np.asarray(expected)


def _costs(
    cases: Sequence[Case], picks: Picks, shape: tuple[int, ...]
) -> tuple[Array, npt.NDArray[np.bool_]]:
    """Cost of every set, and whether it can be done.

    A remedy that is done reaches all its signals: none of them can be called left alone.
    """
    cost, allowed = np.zeros(shape), np.ones(shape, dtype=bool)
    index = np.indices(shape, sparse=True)
    for case in cases:
        used, spared = np.zeros(shape, dtype=bool), np.zeros(shape, dtype=bool)
        for axis, signal in enumerate(picks):
            if signal in case.steps:
                used |= index[axis] == 1 + picks[signal].index(case)
                spared |= index[axis] == 0
        cost += np.where(used, case.cost, 0.0)
        allowed &= ~(used & spared)
    return cost, allowed


def _is_done(case: Case, picks: Picks, place: Place) -> bool:
    return any(
        place[axis] == 1 + picks[signal].index(case)
        for axis, signal in enumerate(picks)
        if signal in case.steps
    )


def _switched(case: Case, picks: Picks, place: Place) -> Place:
    """The set with this remedy left out, or with it alone where nothing was done."""
    changed = list(place)
    for axis, signal in enumerate(picks):
        if signal not in case.steps:
            continue
        own = np.intp(1 + picks[signal].index(case))
        if place[axis] == own:
            changed[axis] = np.intp(0)
        elif not any(place):
            changed[axis] = own
    return tuple(changed)
