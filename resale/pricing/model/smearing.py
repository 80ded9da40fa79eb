"""From the median of log prices back to the mean of money.

Whoever sums prices (a budget, a plan, a settlement) needs means; the exponential of a mean log is
a median and lies below.
"""

from __future__ import annotations

import numpy as np

from resale.pricing.model.terms import Array


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
    between kinds, a factor by kind is better.

    References
    ----------
    Duan 1983, "Smearing estimate: a nonparametric retransformation method", JASA 78, 605-610.

    Examples
    --------
    >>> round(smearing_factor(np.array([-0.5, -0.2, 0.1, 0.6])), 6)
    1.088138
    """
    return float(np.average(np.exp(residuals), weights=weight))
