"""From the median of log prices back to the mean of money.

Whoever sums prices (a budget, a plan, a settlement) needs means; the exponential of a mean log is
a median and lies below.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from resale.pricing.model.columns.terms import Array
from resale.pricing.model.recency import kish_count

# A group's factor and that of all groups count alike when so many sales of the group are known.
EVEN_AT = 40.0
# A residual beyond so many robust spreads is a slip of the pen, and says nothing of the mean
# price; of normal residuals, seven in a million lie so far out.
SLIP = 4.5
# What makes the median absolute residual a standard deviation where residuals are normal.
NORMAL_MAD = 1.4826


def smearing_factor(residuals: Array, weight: Array | None = None) -> float:
    """Duan's factor: the mean of the exponentials of the residuals of log price.

    Parameters
    ----------
    residuals : ndarray, shape (n,)
        Observed less fitted log price.
    weight : ndarray, shape (n,), optional

    Returns
    -------
    float
        Multiply a median price by it to estimate the mean price; at least about 1.

    Notes
    -----
    Assumes that residuals have one distribution for all items; where the spread differs much
    between kinds, a factor by kind is better: `smearing_by_group`.

    References
    ----------
    Duan 1983, "Smearing estimate: a nonparametric retransformation method", JASA 78, 605-610.

    Examples
    --------
    >>> round(smearing_factor(np.array([-0.5, -0.2, 0.1, 0.6])), 6)
    1.088138
    """
    return float(np.average(np.exp(residuals), weights=weight))


def smearing_by_group(
    residuals: Array, group: npt.NDArray[np.intp], groups: int, weight: Array
) -> Array:
    """Duan's factor of each group, drawn towards that of all groups where sales are few.

    Slips (`SLIP`) are left out, so that one wrong price does not raise a whole kind.

    Parameters
    ----------
    residuals : ndarray, shape (n,)
        Left-out residuals of log price.
    group : ndarray of int, shape (n,)
        Group (kind) of each sale.
    groups : int
        How many groups there are.
    weight : ndarray, shape (n,)
        Weight of each sale.

    Returns
    -------
    ndarray, shape (groups,)
        ``log factor = (n log own + m log all) / (n + m)`` with n the group's sales (Kish's
        number for unequal weights) and m = `EVEN_AT`.
    """
    limit = SLIP * NORMAL_MAD * float(np.median(np.abs(residuals)))
    meant = (np.abs(residuals) <= limit) | (limit == 0)
    of_all = np.log(smearing_factor(residuals[meant], weight[meant]))
    logs = np.full(groups, of_all)
    for place in np.unique(group[meant]):
        own = meant & (group == place)
        sold = kish_count(weight[own])
        log = np.log(smearing_factor(residuals[own], weight[own]))
        logs[place] = (sold * log + EVEN_AT * of_all) / (sold + EVEN_AT)
    return np.asarray(np.exp(logs))
