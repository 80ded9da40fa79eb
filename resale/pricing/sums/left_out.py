"""Each sale as it would be predicted without it, lot by lot."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from resale.pricing.model.columns.design_matrix import Design
from resale.pricing.model.columns.terms import Array
from resale.pricing.model.conformal import ScoreTally
from resale.pricing.model.fitted import Weights, unlooked
from resale.pricing.model.smearing import NORMAL_MAD, smearing_sums
from resale.pricing.sums.gathering import Lot, Trust
from resale.pricing.sums.lots import Lots
from resale.pricing.sums.order_statistics import median

# Above as many sales as are cross-fitted, one that lies far off its own left-out prediction counts
# less: a slip of the pen in a price must not move a rule. Weights of Student's t; Lange, Little and
# Taylor 1989, JASA 84(408), eq. 6 with four degrees of freedom (from memory).
TAILS = 4.0


@dataclass(frozen=True)
class LeftOut:
    """What is known of each sale of a lot once it is left out.

    Attributes
    ----------
    left : ndarray, shape (n,)
        Residual of log price, predicted without the sale.
    doubt : ndarray, shape (n,)
        Variance of that prediction.
    missing : ndarray, shape (n,)
        Variance that the signs nobody looked at would explain.
    weight : ndarray, shape (n,)
    group : ndarray of int, shape (n,)
    """

    left: Array
    doubt: Array
    missing: Array
    weight: Array
    group: npt.NDArray[np.intp]


def left_out(
    lot: Lot, trust: Array | None = None, *, weights: Weights, level: float, mean: float = 1.0
) -> tuple[Array, Array]:
    """Residual of each sale predicted without it, and the doubt of that prediction.

    The residual is ``e / (1 - h)`` with the leverage h, exact for fixed shrinkage and an
    unchanged set of binding constraints. The weights of the sales must be those of the fit.

    Parameters
    ----------
    lot : Lot
    trust : ndarray, shape (n,), optional
    weights : Weights
    level : float
        One over the sum of all sales' weights where the level is free, else 0.
    mean : float
        Of the trust in all sales.

    Returns
    -------
    left, doubt : ndarray, shape (n,)
        Log price, and its variance.
    """
    sales = lot.sales
    weight = sales.weight if trust is None else sales.weight * trust / mean
    fitted, variance = predicted(lot.design, weights)
    leverage = np.minimum(weight * (variance / weights.noise**2 + level), 0.999)
    return (sales.target - fitted) / (1 - leverage), variance / (1 - leverage)


def predicted(design: Design, weights: Weights) -> tuple[Array, Array]:
    """Log price of items, and its variance from the doubt in the weights.

    Parameters
    ----------
    design : Design
    weights : Weights

    Returns
    -------
    fitted, variance : ndarray, shape (n,)
    """
    fitted = weights.level + design.times(weights.both) - weights.means @ weights.both
    return fitted, design.quadratic(weights.covariance, weights.means)


def sizes_left_out(lot: Lot, **how: object) -> Array:
    """Sizes of the residuals alone; parameters as for `left_out`."""
    return np.abs(left_out(lot, **how)[0])  # type: ignore[arg-type]


def of_lot(lot: Lot, trust: Array | None = None, *, gaps: Array, **how: object) -> LeftOut:
    """All that bands and means rest on.

    Parameters
    ----------
    lot : Lot
    trust : ndarray, shape (n,), optional
    gaps : ndarray, shape (groups, inputs)
        Variance that each input would explain.
    **how
        As for `left_out`.

    Returns
    -------
    LeftOut
    """
    left, doubt = left_out(lot, trust, **how)  # type: ignore[arg-type]
    items = lot.sales.items
    return LeftOut(left, doubt, unlooked(gaps, items), lot.sales.weight, items.group)


def trust_in(lots: Lots, weights: Weights, level: float) -> Trust:
    """How much each sale counts, by its left-out residual.

    Parameters
    ----------
    lots : Lots
        Of `Lot`.
    weights : Weights
        Of a first fit to them.
    level : float
        As for `left_out`.

    Returns
    -------
    Trust
    """
    sizes = lots.each(sizes_left_out, weights=weights, level=level)
    spread = max(NORMAL_MAD * median(sizes), 1e-12)
    trust = sizes.each(trusted, spread=spread)
    total, count = trust.total(_sum_and_count)
    return Trust(trust, total / count)


def trusted(size: Array, spread: float) -> Array:
    """How much a sale so far off its left-out prediction counts, before division by the mean.

    Parameters
    ----------
    size : ndarray, shape (n,)
        Of the residuals of log price.
    spread : float
        Their robust standard deviation.
    """
    return np.asarray((TAILS + 1) / (TAILS + (size / spread) ** 2))


def _sum_and_count(trust: Array) -> tuple[float, int]:
    return float(trust.sum()), len(trust)


def missing_on_average(of: LeftOut) -> tuple[float, float]:
    """Weighted sum of the variance that nobody looked at, and the sum of the weights."""
    return float(of.weight @ of.missing), float(of.weight.sum())


def tally(of: LeftOut, noise: float, exact: bool) -> ScoreTally:
    """Scores of a lot, counted.

    Parameters
    ----------
    of : LeftOut
    noise : float
        Standard deviation of log price once everything is looked at.
    exact : bool
        Whether every score is kept as it is.
    """
    signed = of.left / np.sqrt(noise**2 + of.doubt + of.missing)
    return ScoreTally.of(signed, of.group, exact=exact)


def size_of(of: LeftOut) -> Array:
    """Sizes of the residuals."""
    return np.abs(of.left)


def smearing(of: LeftOut, groups: int, limit: float) -> Array:
    """Sums that the factors from median to mean rest on.

    Parameters
    ----------
    of : LeftOut
    groups : int
    limit : float
        Size beyond which a residual is a slip of the pen.
    """
    return smearing_sums(of.left, of.group, of.weight, groups=groups, limit=limit)
