"""Rates of a single event per thing, where things differ by more than is known of them.

Some things draw the event sooner than their numbers say, others later. Whoever still waits is
more and more likely one of the slow ones. Left out of account, this hides what a lower price
does: prices are lowered on the slow ones. Each thing therefore has a factor of its own on its
rate, spread as a gamma distribution with mean 1 and variance v, the *unevenness*:

    chance of no event before hazard H = (1 + v H) ** (-1 / v)          exp(-H) where v is 0

Vaupel, Manton and Stallard 1979, Demography 16 (cited from memory), who call the factor frailty.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from resale.pricing.model.columns.terms import Array

# Below this the unevenness is nothing, and its formulas lose their digits.
EVEN = 1e-9
SERIES_BELOW = 1e-5
STEP = 1e-5
MOST_STEPS = 200
HALVINGS = 30
LONGEST = 0.5
NEAR = 1e-10
FLAT = 1e-9
# Rates beyond e^60 a day have no meaning and would overflow in a wild first step.
STEEPEST = 60.0


def stays(hazard: Array, before: Array | float, unevenness: float) -> Array:
    """Chance that no event comes in the next `hazard`, when none came in the `before`.

    Parameters
    ----------
    hazard : ndarray
        Rate times time, from now on.
    before : ndarray or float
        Rate times time that was waited already.
    unevenness : float
        Variance v of the factor by which things differ; 0 for things all alike.

    Returns
    -------
    ndarray
        Between 0 and 1: (1 + v H / (1 + v before)) ** (-1 / v).
    """
    v = max(unevenness, EVEN)
    return np.asarray(np.exp(-np.log1p(v * hazard / (1 + v * before)) / v))


def waits(rate: Array, days: Array | float, before: Array | float, unevenness: float) -> Array:
    """Expected days until the event, counting `days` at most.

    Integral of `stays` over the days; written so that v = 0, v = 1 and rate = 0 need no case.

    Parameters
    ----------
    rate : ndarray
        Events a day.
    days : ndarray or float
        Most days that are counted.
    before : ndarray or float
        Rate times days that was waited already.
    unevenness : float
        Variance v of the factor by which things differ; 0 for things all alike.

    Returns
    -------
    ndarray
        Days, at most `days`.
    """
    v = max(unevenness, EVEN)
    now = np.maximum(rate, 1e-12) / (1 + v * before)
    log = np.log1p(v * now * days)
    power = (v - 1) / v * log
    near = np.abs(power) < 1e-8
    factor = np.where(near, 1.0, np.expm1(power) / np.where(near, 1.0, power))
    return np.asarray(log / (v * now) * factor)


@dataclass(frozen=True)
class Waits:
    """What was seen: rows of time, several of which may belong to one thing.

    Attributes
    ----------
    thing : ndarray of int, shape (n,)
        Which thing each row belongs to, numbered from 0 without a gap.
    design : ndarray, shape (n, p)
        Log rate is `design` times the coefficients.
    event : ndarray, shape (n,)
        1 where the row ended with the event, else 0.
    exposure : ndarray, shape (n,)
        Time of the row.
    weight : ndarray, shape (things,)
        How much each thing counts.
    """

    thing: npt.NDArray[np.intp]
    design: Array
    event: Array
    exposure: Array
    weight: Array

    def slopes(self, coefficients: Array, v: float) -> tuple[float, Array, float]:
        """Log likelihood, its slope in the coefficients, and its slope in v.

        Parameters
        ----------
        coefficients : ndarray
            One for each column of `design`, shape (p,).
        v : float
            The unevenness, above 0.

        Returns
        -------
        (float, ndarray, float)
            Slope in the coefficients has shape (p,); the others are numbers. Rates are taken at
            most at e^60 a day, beyond which a wild first step would overflow.
        """
        rate = np.minimum(self.design @ coefficients, STEEPEST)
        part = self.exposure * np.exp(rate)
        count = len(self.weight)
        hazard = np.bincount(self.thing, part, count)
        event = np.bincount(self.thing, self.event, count)
        log = np.log1p(v * hazard)
        each = np.bincount(self.thing, self.event * rate, count) - event * log - log / v
        # What the factor of a thing is expected to be, after what was seen of it.
        factor = (1 + event * v) / (1 + v * hazard)
        pull = self.weight[self.thing] * (self.event - factor[self.thing] * part)
        if v < SERIES_BELOW:
            bend = hazard**2 / 2 - event * hazard
        else:
            bend = (log / v - hazard / (1 + v * hazard)) / v - event * hazard / (1 + v * hazard)
        return (
            float(self.weight @ each),
            self.design.T @ pull,
            float(self.weight @ bend),
        )


def most_likely(
    seen: Waits, mean: Array, covariance: Array, least: Array, free: npt.NDArray[np.bool_]
) -> tuple[Array, Array]:
    """Coefficients that what was seen and the opinion together make most likely.

    Parameters
    ----------
    seen : Waits
    mean, covariance : ndarray, shapes (p + 1,) and (p + 1, p + 1)
        The normal opinion; the last entry is the log of the unevenness.
    least : ndarray, shape (p + 1,)
        Lower bounds; -inf for none.
    free : ndarray of bool, shape (p + 1,)
        What is learned; the rest stays at `mean`.

    Returns
    -------
    at : ndarray, shape (p + 1,)
    covariance : ndarray, shape (p + 1, p + 1)
        Inverse curvature at the top; a bound that is met is left out of account.
    """
    precision = np.linalg.inv(covariance)

    def downhill(at: Array) -> tuple[float, Array]:
        v = float(np.exp(at[-1]))
        height, slope, bend = seen.slopes(at[:-1], max(v, EVEN))
        away = at - mean
        whole = np.append(slope, bend * v) - precision @ away
        value = float(0.5 * away @ precision @ away - height)
        return value, np.where(free, -whole, 0.0)

    at = _lowest(downhill, np.maximum(mean, least), least, free)
    doubt = covariance.copy()
    inside = np.ix_(free, free)
    doubt[inside] = np.linalg.inv(_curvature(downhill, at, free)[inside])
    return at, doubt


Downhill = Callable[[Array], tuple[float, Array]]
Free = npt.NDArray[np.bool_]


def _lowest(downhill: Downhill, at: Array, least: Array, free: Free) -> Array:
    """Newton's method within lower bounds.

    Steps are kept short and are halved until they go down: far from the bottom the unevenness
    would otherwise jump to nothing, where all slopes vanish. Where the surface bends the wrong
    way, its curvature is turned round.
    """
    height, slope = downhill(at)
    for _ in range(MOST_STEPS):
        moving = free & ((at > least) | (slope < 0))
        bend, axes = np.linalg.eigh(_curvature(downhill, at, free)[np.ix_(moving, moving)])
        step = np.zeros_like(at)
        step[moving] = axes @ (axes.T @ slope[moving] / np.maximum(np.abs(bend), FLAT))
        step *= min(1.0, LONGEST / np.abs(step).max(initial=FLAT))
        for _ in range(HALVINGS):
            after = np.maximum(at - step, least)
            lower, turned = downhill(after)
            if lower <= height:
                break
            step /= 2
        else:
            break
        at, height, slope = after, lower, turned
        if np.abs(step).max(initial=0.0) < NEAR:
            break
    return at


def _curvature(downhill: Downhill, at: Array, free: Free) -> Array:
    """Second slopes by differences of the first."""
    rows = np.zeros((len(at), len(at)))
    for place in np.flatnonzero(free):
        shift = np.zeros_like(at)
        shift[place] = STEP
        rows[place] = (downhill(at + shift)[1] - downhill(at - shift)[1]) / (2 * STEP)
    return (rows + rows.T) / 2
