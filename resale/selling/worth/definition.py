"""What *worth* means: the ticket at which half of such things sell in the shop's usual time.

A sale price alone says what somebody paid after so many marks; whoever sets tickets by the mean
of those marks down what was marked down already, and a shop that learns from itself asks less
every quarter. Worth does not move with the shop's habits: a sale after two marks says 'worth less
than the first ticket', an unsold thing says 'worth less than asked'.
"""

from __future__ import annotations

import numpy as np

from resale.pricing.model.columns.terms import Array
from resale.selling.markdown.ageing import EDGES

# The usual time; common practice, no source.
USUAL_DAYS = 28.0
# Days of the usual time in each class of age.
_INSIDE = np.diff(np.minimum(np.append(EDGES, np.inf), USUAL_DAYS))


def log_rate_at_worth(unevenness: float, ageing: Array) -> float:
    """Log rate (a day, at the reference age) of a middling thing whose ticket is its worth.

    Parameters
    ----------
    unevenness : float
        Variance v of the factor of a thing's own on its rate; above 0.
    ageing : ndarray, shape (classes of age,)
        Effects of age on the log rate.

    Returns
    -------
    float
        With even things and no effect of age it is log(ln 2 / 28): half sell in 28 days.

    Notes
    -----
    Half have sold when (1 + v H) ** (-1 / v) is one half, so at the hazard H = (2**v - 1) / v.
    """
    hazard = np.expm1(unevenness * np.log(2)) / unevenness
    return float(np.log(hazard) - np.log(_INSIDE @ np.exp(ageing)))


def slopes_at_worth(unevenness: float, ageing: Array) -> tuple[float, Array]:
    """Slopes of `log_rate_at_worth` in the log of the unevenness and in the effects of age.

    Parameters
    ----------
    unevenness : float
    ageing : ndarray, shape (classes of age,)

    Returns
    -------
    in_log_unevenness : float
    in_ageing : ndarray, shape (classes of age,)
    """
    grown = unevenness * np.log(2)
    days = _INSIDE * np.exp(ageing)
    return float(grown / -np.expm1(-grown) - 1), np.asarray(-days / days.sum())
