"""Split the way from anchor to estimate among the signals, exactly, to the cent.

A product of factors has no natural sum of parts. The logarithmic mean gives one without
remainder: each signal's share is its log contribution times the logarithmic mean of both prices.

References
----------
Ang 2004, Energy Policy 32(9), 1131-1139, and Ang 2005, Energy Policy 33(7), 867-871: LMDI,
additive form.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from resale.pricing.model.columns.terms import Array

Minor = npt.NDArray[np.int64]


def logarithmic_mean(a: Array, b: Array) -> Array:
    """``(a - b) / (ln a - ln b)``, and a where both are equal.

    Parameters
    ----------
    a, b : ndarray
        Positive prices.

    Examples
    --------
    >>> float(logarithmic_mean(np.array([2.0]), np.array([1.0]))[0])  # 1 / ln 2
    1.4426950408889634
    """
    ratio = np.log(a / b)
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = (a - b) / ratio
    # Very near one another the quotient loses its digits; the mean of both is then exact enough.
    return np.where(np.abs(ratio) < 1e-7, (a + b) / 2, mean)


def money_shares(start: Array, logs: Array) -> Array:
    """Share of each contribution in the difference between end price and start price.

    Parameters
    ----------
    start : ndarray, shape (n,)
        Prices before any contribution.
    logs : ndarray, shape (n, m)
        Log contributions.

    Returns
    -------
    ndarray, shape (n, m)
        Rows sum to ``start * exp(sum of logs) - start``.
    """
    end = start * np.exp(logs.sum(axis=1))
    return np.asarray(logs * logarithmic_mean(end, start)[:, None])


def whole_units(shares: Array, total: Minor) -> Minor:
    """Round rows to whole units that sum to the total exactly: largest remainder.

    Parameters
    ----------
    shares : ndarray, shape (n, m)
        Unrounded amounts in minor units; a zero stays zero.
    total : ndarray of int, shape (n,)
        What each row must sum to.

    Returns
    -------
    ndarray of int64, shape (n, m)

    Raises
    ------
    ValueError
        When a total is further from its row than rounding could explain.
    """
    down = np.floor(shares)
    rest = np.where(shares == 0, -1.0, shares - down)
    lacking = np.asarray(total - down.sum(axis=1)).astype(np.int64)
    if np.any(np.abs(lacking - (shares - down).sum(axis=1)) > 1.5):
        raise ValueError("the shares do not sum to the total within rounding")
    # Rank 0 has the largest remainder. Ties go to the earlier column, so the split is repeatable.
    order = np.argsort(-rest, axis=1, kind="stable")
    rank = np.empty_like(order)
    np.put_along_axis(rank, order, np.arange(shares.shape[1])[None, :], axis=1)
    up = rank < lacking[:, None]
    # Rounding of the total itself can leave one unit too many; the smallest remainder gives it.
    known = (shares != 0).sum(axis=1)
    back = (lacking < 0)[:, None] & (rank == known[:, None] - 1)
    return np.asarray(down + up - back).astype(np.int64)
