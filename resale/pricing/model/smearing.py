"""From the median of log prices back to the mean of money.

Whoever sums prices (a budget, a plan, a settlement) needs means; the exponential of a mean log is
a median and lies below. Duan's factor, by which a median price is multiplied, is the mean of the
exponentials of the residuals of log price. It assumes that those have one distribution; where
their spread differs between kinds a factor by kind is better.

References
----------
Duan 1983, "Smearing estimate: a nonparametric retransformation method", JASA 78, 605-610.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from resale.pricing.model.columns.terms import Array

# A group's factor and that of all groups count alike when so many sales of the group are known.
EVEN_AT = 40.0
# A residual beyond so many robust spreads is a slip of the pen, and says nothing of the mean
# price; of normal residuals, seven in a million lie so far out.
SLIP = 4.5
# What makes the median absolute residual a standard deviation where residuals are normal.
NORMAL_MAD = 1.4826


def smearing_sums(
    residuals: Array, group: npt.NDArray[np.intp], weight: Array, *, groups: int, limit: float
) -> Array:
    """Sums over a lot of sales that the factors rest on; slips are left out.

    Parameters
    ----------
    residuals : ndarray, shape (n,)
        Left-out residuals of log price.
    group : ndarray of int, shape (n,)
        Group (kind) of each sale.
    weight : ndarray, shape (n,)
    groups : int
        How many groups there are.
    limit : float
        Size beyond which a residual is a slip; 0 where none is.

    Returns
    -------
    ndarray, shape (3, groups)
        Of the weights, of their squares, and of the weights times the exponentials.
    """
    meant = (np.abs(residuals) <= limit) | (limit == 0)
    of, counts = group[meant], weight[meant]
    sums = [counts, counts**2, counts * np.exp(residuals[meant])]
    return np.array([np.bincount(of, one, groups) for one in sums], dtype=np.float64)


def smearing_by_group(sums: Array) -> Array:
    """Duan's factor of each group, drawn towards that of all groups where sales are few.

    Parameters
    ----------
    sums : ndarray, shape (3, groups)
        Of all sales; see `smearing_sums`.

    Returns
    -------
    ndarray, shape (groups,)
        ``log factor = (n log own + m log all) / (n + m)`` with n the group's sales (Kish's
        number for unequal weights) and m = `EVEN_AT`.
    """
    weight, square, risen = sums
    of_all = np.log(risen.sum() / weight.sum())
    logs = np.full(len(weight), of_all)
    some = weight > 0
    sold = weight[some] ** 2 / square[some]
    own = np.log(risen[some] / weight[some])
    logs[some] = (sold * own + EVEN_AT * of_all) / (sold + EVEN_AT)
    return np.asarray(np.exp(logs))
