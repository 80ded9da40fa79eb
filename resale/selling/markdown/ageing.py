"""How the sale rate falls with days on the rail, whatever the ticket says.

Those who look every week have seen what hangs there; a thing is news once. Marks always follow
time, so a demand that knows nothing of age reads the slowness of old things as buyers who do not
care for lower prices, and asks more. The log rate therefore has an effect of age of its own, held
constant within each class of age. Before data the effects are a walk from class to class, so
that neighbours are alike and any shape can be learned:

    effect_k = -slowing * log((1 + age_k / 14) / 2) + sum of steps up to k
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from resale.pricing.model.columns.terms import Array

# Classes of age in days; the last is open.
EDGES = np.array([0.0, 7, 14, 28, 42, 56, 84, 112, 168, 252, 364])
# Age about which effects are 0, so that rates speak of a thing that has hung a fortnight.
REFERENCE = 14.0
_LAST_MIDDLE = 455.0
_MIDDLE = np.append((EDGES[:-1] + EDGES[1:]) / 2, _LAST_MIDDLE)
# Log of the factor in each class, for a slowing of -1.
SCORES = np.log((1 + _MIDDLE / REFERENCE) / 2)
# The class that the walk begins in, both ways.
_START = int(np.searchsorted(EDGES, REFERENCE))
# A table of doubts has to be invertible.
_LEAST_DOUBT = 0.01


def prior_of_age(slowing: float, slowing_doubt: float, step: float) -> tuple[Array, Array]:
    """Mean and covariance of the effects before data.

    Parameters
    ----------
    slowing, slowing_doubt : float
        Opinion on the slowing and its standard deviation.
    step : float
        Standard deviation of a step from class to class (log).

    Returns
    -------
    mean : ndarray, shape (classes,)
    covariance : ndarray, shape (classes, classes)
    """
    away = np.arange(len(EDGES)) - _START
    together = np.minimum(np.abs(away)[:, None], np.abs(away))
    walk = np.where(np.sign(away)[:, None] == np.sign(away), together, 0) * step**2
    slope = np.outer(SCORES, SCORES) * slowing_doubt**2
    return -slowing * SCORES, slope + walk + np.eye(len(EDGES)) * _LEAST_DOUBT**2


def outlived(effect: Array, age: Array) -> Array:
    """Days at rate 1 that make the same hazard as all days up to an age.

    Parameters
    ----------
    effect : ndarray, shape (classes,)
        Of age on the log rate.
    age : ndarray
        Days on the rail, 0 or more.

    Returns
    -------
    ndarray, shape of `age`
    """
    factor = np.exp(effect)
    whole = np.concatenate([[0.0], np.cumsum(np.diff(EDGES) * factor[:-1])])
    beyond = np.maximum(age - EDGES[-1], 0.0) * factor[-1]
    return np.asarray(np.interp(age, EDGES, whole) + beyond)


def age_reaching(effect: Array, hazard: float) -> float:
    """Age (days) at which a rate of 1 has made a hazard; the inverse of `outlived`.

    Parameters
    ----------
    effect : ndarray, shape (classes,)
    hazard : float

    Returns
    -------
    float
    """
    whole = outlived(effect, EDGES)
    beyond = max(hazard - float(whole[-1]), 0.0) / float(np.exp(effect[-1]))
    return float(np.interp(hazard, whole, EDGES)) + beyond


def split_by_age(
    start: Array, days: Array
) -> tuple[npt.NDArray[np.intp], Array, npt.NDArray[np.intp], npt.NDArray[np.bool_]]:
    """Cut stretches of days at the edges of the classes.

    Parameters
    ----------
    start, days : ndarray, shape (n,)
        Age at the start of each stretch, and its length (days, above 0).

    Returns
    -------
    row : ndarray of int, shape (m,)
        Which stretch each piece is of, in order.
    days : ndarray, shape (m,)
    place : ndarray of int, shape (m,)
        Its class.
    last : ndarray of bool, shape (m,)
        Whether it is the last piece of its stretch.
    """
    upper = np.append(EDGES[1:], np.inf)
    inside = np.minimum((start + days)[:, None], upper) - np.maximum(start[:, None], EDGES)
    row, place = np.nonzero(inside > 0)
    last = np.append(row[1:] != row[:-1], [True] if len(row) else [])
    return row, inside[row, place], place, last.astype(bool)
