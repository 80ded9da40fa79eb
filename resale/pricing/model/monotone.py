"""Keep the order of the ladders: a worse grade never raises a price, whatever the data say.

The weights that minimise the penalised squared error under ``A w >= 0`` are found exactly: in the
metric of the posterior this is a least distance problem, and its dual is a non-negative least
squares problem. A step that is held at nought is known to be no less, and not to be nought: its
doubt is what the normal law leaves of it above nought.

References
----------
Lawson and Hanson 1974, Solving Least Squares Problems, ch. 23, problem LDP (cited from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import scipy
from scipy.linalg import solve_triangular
from scipy.sparse import csr_array

from resale.pricing.model.columns.terms import Array
from resale.pricing.model.cut_normal import moments_above_nought

# A row that is short by less holds but for rounding.
BROKEN = 1e-12


@dataclass(frozen=True)
class Ordered:
    """Weights that keep the order, and what is left of their uncertainty.

    Attributes
    ----------
    weights : ndarray, shape (p,)
    covariance : ndarray, shape (p, p)
        Mean square about the weights: within the face of the constraints that bind as before, and
        across it what is left of each held step, given that none is negative.
    binding : ndarray of bool, shape (rows of A,)
        Constraints that bind.
    """

    weights: Array
    covariance: Array
    binding: npt.NDArray[np.bool_]


def enforce_order(weights: Array, covariance: Array, climb: Array) -> Ordered:
    """Move the weights as little as possible, in the metric of their covariance, to keep order.

    Parameters
    ----------
    weights : ndarray, shape (p,)
        Unconstrained posterior mean.
    covariance : ndarray, shape (p, p)
        Posterior covariance, positive definite.
    climb : ndarray, shape (q, p)
        Rows that must all be non-negative at the weights.

    Returns
    -------
    Ordered
    """
    rows = csr_array(climb)
    short = -(rows @ weights)
    tight = short > 0
    if not tight.any():
        return Ordered(weights, covariance, tight)
    # In the metric of the covariance C this is a least distance problem whose dual is a
    # non-negative least squares problem in one multiplier a row; only rows that do not hold by
    # themselves matter. Those that the move breaks are taken up until none is left.
    while True:
        pull = rows[tight] @ covariance
        moved = weights + pull.T @ (multipliers := _multipliers(pull @ rows[tight].T, short[tight]))
        broken = (rows @ moved < -BROKEN) & ~tight
        if not broken.any():
            break
        tight |= broken
    binding = np.zeros(len(climb), dtype=bool)
    binding[tight] = multipliers > 1e-10
    return Ordered(
        _snapped(moved, climb), _given_order(weights, covariance, climb[binding]), binding
    )


def _multipliers(metric: Array, short: Array) -> Array:
    """Solve ``m' G m / 2 - short' m`` over m >= 0 as a least distance problem.

    G is ``A C A'``, and may be singular: a row may be the sum of others.
    """
    scale = np.sqrt(metric.diagonal())
    values, vectors = np.linalg.eigh(metric / np.outer(scale, scale))
    kept = values > 1e-13 * values[-1]
    system = np.vstack([(vectors[:, kept] * np.sqrt(values[kept])).T, short / scale])
    target = np.zeros(len(system))
    target[-1] = 1.0
    solution, _ = scipy.optimize.nnls(system, target, maxiter=50 * system.shape[1])
    left = target - system @ solution
    return np.asarray(solution / left[-1] / scale)


def _snapped(weights: Array, climb: Array) -> Array:
    """Clear the rounding error of steps that are single columns: held means exactly zero."""
    single = np.count_nonzero(climb, axis=1) == 1
    column = np.abs(climb[single]).argmax(axis=1)
    sign = np.sign(climb[single, column])
    snapped = weights.copy()
    snapped[column] = np.where(sign * weights[column] < 1e-9, 0.0, weights[column])
    return snapped


def _given_order(weights: Array, covariance: Array, held: Array) -> Array:
    """Mean square about the face on which rows are held, given that none of them is negative.

    What lies along the face is independent of the rows: taking them as nought would leave just
    that, and call a step certain which sales and rule book contradict one another about.
    """
    if len(held) == 0:
        return covariance
    cross = covariance @ held.T
    # Rows may depend on one another (a step of one kind and of all); a little ridge keeps the
    # factor defined and changes nothing that shows.
    middle = held @ cross
    root = np.linalg.cholesky(middle + 1e-10 * np.trace(middle) * np.eye(len(middle)))
    part = solve_triangular(root, cross.T, lower=True)
    mean, spread = moments_above_nought(held @ weights, middle)
    across = solve_triangular(root, part, lower=True, trans="T")
    return np.asarray(
        covariance - part.T @ part + across.T @ (spread + np.outer(mean, mean)) @ across
    )
