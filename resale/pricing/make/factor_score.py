"""What several signs of one hidden grade say together, and how sure that is.

The grade f is standard normal; a sign's score is ``x = l f + e`` with loading l and ``e`` of
variance ``p = 1 - l**2``. Over the signs looked at, with ``P = 1 + sum l**2 / p``,

    f = sum(l x / p) / P        with variance 1 / P.

The sum over signs is exact, so each has a share of its own: alone ``l x``, beside others less.

References
----------
Thomson 1951, The Factorial Analysis of Human Ability, and Lawley and Maxwell 1971, Factor Analysis
as a Statistical Method, ch. 8 (regression scores; cited from memory). Bartlett's score, without
the 1 of the prior, is ``f P / (P - 1)``.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

# No single sign is ever taken to say all: one in five of its variance stays its own.
MOST_LOADING = 0.9


def precision(loading: Array) -> Array:
    """``l**2 / p``: how much each sign adds to P; of the shape of `loading`."""
    return np.asarray(loading**2 / (1 - loading**2))


def factor_score(
    score: Array, loading: Array, looked: npt.NDArray[np.bool_]
) -> tuple[Array, Array]:
    """Grade of each thing, and P.

    Parameters
    ----------
    score : ndarray, shape (n, signs)
        Standardised scores; anything where not looked at.
    loading : ndarray, shape (signs,)
        Correlation of each sign with the grade, from 0 to 0.9.
    looked : ndarray of bool, shape (n, signs)
        Which signs were looked at.

    Returns
    -------
    f, P : ndarray, shape (n,)
        Expected grade (standard deviations above the average), and 1 over its variance.

    Examples
    --------
    >>> both = np.array([[True, True]])
    >>> f, P = factor_score(np.array([[1.0, 2.0]]), np.array([0.6, 0.6]), both)
    >>> f.round(4), P.round(4)
    (array([1.3235]), array([2.125]))
    """
    total = 1 + looked @ precision(loading)
    weighed = np.where(looked, score, 0.0) @ (loading / (1 - loading**2))
    return weighed / total, np.asarray(total)


def chances_given(
    score: Array,
    share: Array,
    loading: Array | float,
    f: Array,
    total: Array,
    starts: npt.NDArray[np.intp] | None = None,
) -> Array:
    """How common each answer of a sign is among things that look so far like this one.

    The book's shares, weighed by the ratio of two normal densities of the score: that given what
    was seen, ``N(l f, p + l**2 / P)``, over that of all things, ``N(0, 1)``.

    Parameters
    ----------
    score, share : ndarray, shape (options,)
        Standardised score and share of each answer.
    loading : float, or ndarray of shape (options,)
        Of the sign.
    f, total : ndarray, shape (n,)
        Grade and P by the other signs.
    starts : ndarray of int, shape (signs,), optional
        Where each sign's answers begin, if there are several signs; else all are of one.

    Returns
    -------
    ndarray, shape (n, options)
        Those of each sign sum to 1 in every row.
    """
    variance = 1 - loading**2 + loading**2 / total[:, None]
    away = (score[None, :] - loading * f[:, None]) ** 2 / variance
    chance = share * np.exp((score**2)[None, :] / 2 - away / 2)
    if starts is None:
        return np.asarray(chance / chance.sum(axis=1, keepdims=True))
    counts = np.diff(np.append(starts, len(score)))
    return np.asarray(chance / np.repeat(np.add.reduceat(chance, starts, axis=1), counts, axis=1))
