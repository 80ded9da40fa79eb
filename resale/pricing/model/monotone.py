"""Keep the order of the ladders: a worse grade never raises a price, whatever the data say.

The weights that minimise the penalised squared error under ``A w >= 0`` are found exactly: in the
metric of the posterior this is a least distance problem, and its dual is a non-negative least
squares problem.

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

from resale.pricing.model.columns.terms import Array


@dataclass(frozen=True)
class Ordered:
    """Weights that keep the order, and what is left of their uncertainty.

    Attributes
    ----------
    weights : ndarray, shape (p,)
    covariance : ndarray, shape (p, p)
        Covariance within the face of the constraints that bind: a step held at zero is not
        uncertain any more.
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
    if climb.size == 0 or np.all(climb @ weights >= 0):
        return Ordered(weights, covariance, np.zeros(len(climb), dtype=bool))
    # With covariance L L' and w = w0 + L u: minimise |u| subject to (A L) u >= -A w0. The dual is
    # a non-negative least squares problem in one multiplier a constraint.
    root = np.linalg.cholesky(covariance)
    rows = climb @ root
    scale = np.linalg.norm(rows, axis=1)
    rows, short = rows / scale[:, None], -(climb @ weights) / scale
    multipliers = _multipliers(rows, short)
    moved = weights + root @ (rows.T @ multipliers)
    binding = multipliers > 1e-10
    return Ordered(_snapped(moved, climb), _on_face(covariance, climb[binding]), binding)


def _multipliers(rows: Array, short: Array) -> Array:
    """Solve ``min |rows' m|^2 / 2 - short' m`` over m >= 0 as a least distance problem."""
    system = np.vstack([rows.T, short])
    target = np.zeros(len(system))
    target[-1] = 1.0
    solution, _ = scipy.optimize.nnls(system, target, maxiter=50 * system.shape[1])
    left = target - system @ solution
    return np.asarray(solution / left[-1])


def _snapped(weights: Array, climb: Array) -> Array:
    """Clear the rounding error of steps that are single columns: held means exactly zero."""
    single = np.count_nonzero(climb, axis=1) == 1
    column = np.abs(climb[single]).argmax(axis=1)
    sign = np.sign(climb[single, column])
    snapped = weights.copy()
    snapped[column] = np.where(sign * weights[column] < 1e-9, 0.0, weights[column])
    return snapped


def _on_face(covariance: Array, binding: Array) -> Array:
    """Covariance given that the held rows are exactly zero."""
    if len(binding) == 0:
        return covariance
    cross = covariance @ binding.T
    # Rows may depend on one another (a step of one kind and of all); a little ridge keeps the
    # factor defined and changes nothing that shows.
    middle = binding @ cross
    root = np.linalg.cholesky(middle + 1e-10 * np.trace(middle) * np.eye(len(middle)))
    part = solve_triangular(root, cross.T, lower=True)
    return np.asarray(covariance - part.T @ part)
