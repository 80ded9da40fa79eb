"""Rates of rare events from counts and exposure, with a normal opinion to start from."""

from __future__ import annotations

import numpy as np

from resale.pricing.terms import Array

MOST_STEPS = 100
HALVINGS = 40
NEAR = 1e-10


def most_likely(
    design: Array,
    events: Array,
    exposure: Array,
    weight: Array,
    mean: Array,
    covariance: Array,
    least: Array,
) -> tuple[Array, Array]:
    """Coefficients of log rate that data and opinion together make most likely.

    Parameters
    ----------
    design : ndarray, shape (n, p)
    events : ndarray, shape (n,)
        Events in each row (0 or 1, or a count).
    exposure : ndarray, shape (n,)
        Time in which they might have happened.
    weight : ndarray, shape (n,)
        How much each row counts.
    mean, covariance : ndarray, shapes (p,) and (p, p)
        The opinion before data.
    least : ndarray, shape (p,)
        Lower bound of each coefficient; -inf for none.

    Returns
    -------
    coefficients : ndarray, shape (p,)
    covariance : ndarray, shape (p, p)
        Inverse curvature at the top, bounds aside.

    Notes
    -----
    Newton's method, each step halved until it climbs; the function has one top only. A
    coefficient that falls below its bound is set there and the rest is fitted anew.
    """
    problem = _Problem(design, events, exposure, weight, mean, np.linalg.inv(covariance))
    at = np.maximum(mean, least)
    fixed = np.zeros(len(mean), dtype=bool)
    while True:
        at = problem.climb(at, ~fixed)
        below = ~fixed & (at < least)
        if not below.any():
            break
        fixed |= below
        at = np.where(fixed, least, at)
    curvature = problem.curvature(at)
    # Without a row the answer is the opinion itself, to the last bit.
    doubt = covariance if len(events) == 0 else np.linalg.inv(curvature)
    return at, np.array(doubt, dtype=float)


class _Problem:
    """Log likelihood plus log opinion, and its slopes."""

    def __init__(
        self,
        design: Array,
        events: Array,
        exposure: Array,
        weight: Array,
        mean: Array,
        precision: Array,
    ) -> None:
        self.design, self.weighted = design, weight * events
        self.offset = np.log(exposure)
        self.weight = weight
        self.mean, self.precision = mean, precision

    def expected(self, at: Array) -> Array:
        # Beyond e^600 the number has no meaning and would overflow in a wild first step.
        return self.weight * np.exp(np.minimum(self.design @ at + self.offset, 600.0))

    def height(self, at: Array) -> float:
        away = at - self.mean
        fit = self.weighted @ (self.design @ at) - self.expected(at).sum()
        return float(fit - 0.5 * away @ self.precision @ away)

    def curvature(self, at: Array) -> Array:
        return self.design.T @ (self.expected(at)[:, None] * self.design) + self.precision

    def climb(self, start: Array, free: Array) -> Array:
        """Go to the top over the free coefficients."""
        at, height = start.copy(), self.height(start)
        for _ in range(MOST_STEPS):
            slope = self.design.T @ (self.weighted - self.expected(at))
            slope -= self.precision @ (at - self.mean)
            curvature = self.curvature(at)[np.ix_(free, free)]
            step = np.zeros_like(at)
            step[free] = np.linalg.solve(curvature, slope[free])
            rise = float(slope @ step)
            if rise < NEAR**2:
                break
            for _ in range(HALVINGS):
                higher = self.height(at + step)
                if higher >= height:
                    break
                step /= 2
            else:
                break
            at, height = at + step, higher
        return at
