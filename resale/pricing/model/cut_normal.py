"""What a normal law leaves of several quantities once none of them may be negative.

Expectation propagation: each condition in turn is replaced by a normal factor that gives its
quantity the mean and the variance that it has where that one condition alone is added to all the
other factors. For one quantity the answer is exact.

References
----------
Minka 2001, Expectation propagation for approximate Bayesian inference; Cunningham, Hennig and
Lacoste-Julien 2011, Gaussian probabilities and expectation propagation (both cited from memory).
"""

from __future__ import annotations

import numpy as np
from scipy.special import erfcx

from resale.pricing.model.columns.terms import Array

SWEEPS = 40
SETTLED = 1e-7
"""Largest change of a sweep, in deviations, that no longer matters."""

ROUNDING = 1e-13
"""Part of a variance below which what is left of it is rounding."""

FAR = -30.0
"""Deviations below nought from which the tail's series is nearer than a difference of two sums."""


def moments_above_nought(mean: Array, covariance: Array) -> tuple[Array, Array]:
    """Mean and covariance of a normal law, given that no component is negative.

    Parameters
    ----------
    mean : ndarray, shape (k,)
    covariance : ndarray, shape (k, k)
        Positive semidefinite, its diagonal positive.

    Returns
    -------
    tuple of ndarray
        Shapes (k,) and (k, k), in the same units.
    """
    middle, spread = mean.astype(float), covariance.astype(float)
    least = ROUNDING * spread.diagonal()
    precision, pull = np.zeros(len(mean)), np.zeros(len(mean))
    for _ in range(SWEEPS):
        before = middle
        for one in range(len(mean)):
            own = spread[one, one]
            others = 1 / own - precision[one] if own > least[one] else 0.0
            if others <= 0:
                # All that is known of it stands in the condition itself.
                continue
            push = middle[one] / own - pull[one]
            above, left = _one_above_nought(push / others, others**-0.5)
            more, shift = 1 / left - others - precision[one], above / left - push - pull[one]
            column = spread[:, one] / (1 + more * own)
            middle = middle + column * (shift - more * middle[one])
            spread = spread - more * np.outer(column, spread[one])
            precision[one] += more
            pull[one] += shift
        if np.all(np.abs(middle - before) <= SETTLED * np.sqrt(covariance.diagonal())):
            break
    return middle, (spread + spread.T) / 2


def _one_above_nought(mean: float, deviation: float) -> tuple[float, float]:
    """Mean and variance of one normal quantity that is not negative."""
    below = mean / deviation
    if below < FAR:
        square = 1 / below**2
        return (
            -deviation / below * (1 - 2 * square + 10 * square**2),
            deviation**2 * square * (1 - 6 * square + 50 * square**2),
        )
    ratio = np.sqrt(2 / np.pi) / erfcx(-below / np.sqrt(2))
    return mean + deviation * ratio, deviation**2 * (1 - ratio * (ratio + below))
