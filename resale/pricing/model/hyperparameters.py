"""How much to trust an opinion against the sales: shrinkage set by the evidence.

The model is ``y = Z w + noise``, with ``w_j`` normal around 0 with variance ``scale_f**2`` for
every column j of family f. The scales and the noise are those that make the observed prices most
probable (type II maximum likelihood), found by MacKay's fixed point. With one family and no pull
this is scikit-learn's BayesianRidge.

References
----------
MacKay 1992, "Bayesian interpolation", Neural Computation 4(3), 415-447, eqs. 4.8-4.10 (number of
well-determined parameters). Tipping 2001, JMLR 1, 211-244, for one scale a column.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from resale.pricing.model.columns.terms import Array
from resale.pricing.model.parted import ByKind, Parts, Places, Solved, Whole, parts_of

# Bounds of a family's precision; at the upper one a family is switched off.
LOOSEST, TIGHTEST = 1e-10, 1e10
FADING = 0.01
# Where weights could explain every sale, some part of the sales still speaks of noise, and noise is
# never less than so small a part of the spread of prices.
LEAST_FREE, LEAST_NOISE = 0.01, 0.01


@dataclass(frozen=True)
class Pull:
    """An opinion on a scale, worth so many observations of it.

    Attributes
    ----------
    towards : float
        The scale (or noise standard deviation) expected before any sale.
    strength : float
        How many well-determined weights (or sales) that opinion is worth; 0 is none, infinity
        holds the value fixed.
    """

    towards: float
    strength: float

    def precision(self, determined: float, square: float) -> float:
        """MacKay's update with the opinion counted in.

        Parameters
        ----------
        determined : float
            How many weights of the family the sales determine (MacKay's gamma).
        square : float
            Sum of squares of the scaled weights.

        Returns
        -------
        float
            One over the variance of the scaled weights.
        """
        if np.isinf(self.strength):
            return self.towards**-2
        return (determined + self.strength) / (square + self.strength * self.towards**2 + 1e-12)


NO_PULL = Pull(1.0, 0.0)


@dataclass(frozen=True)
class Sums:
    """What the fit needs of the sales, gathered block by block.

    Attributes
    ----------
    gram : ndarray, shape (p, p)
        Weighted ``Z'Z``.
    moment : ndarray, shape (p,)
        Weighted ``Z'y``.
    square : float
        Weighted ``y'y``.
    count : float
        Sum of the weights.
    ways : tuple of ndarray of int, shape (p,), optional
        Ways to part the columns, such as the kind that each speaks of
        (`resale.pricing.model.parted`); all are solved at once where omitted.
    """

    gram: Array
    moment: Array
    square: float
    count: float
    ways: tuple[Places, ...] = ()

    def columns(self, chosen: npt.NDArray[np.intp]) -> Sums:
        """Return the sums for some of the columns."""
        gram = self.gram[np.ix_(chosen, chosen)]
        ways = tuple(way[chosen] for way in self.ways)
        return Sums(gram, self.moment[chosen], self.square, self.count, ways)

    @cached_property
    def parts(self) -> Parts | None:
        """How the columns part, by the way that leaves fewest to be solved together."""
        found = [parts for way in self.ways if (parts := parts_of(self.gram, way)) is not None]
        return min(found, key=lambda parts: len(parts.shared), default=None)

    @cached_property
    def filled(self) -> Places:
        """Columns that some sale fills; few sales leave most of a book blank."""
        return np.flatnonzero(self.gram.diagonal() > 0)

    @cached_property
    def of_filled(self) -> Sums:
        """Sums of those alone."""
        return self.columns(self.filled)

    def misfit(self, weights: Array) -> float:
        """Weighted sum of squared residuals."""
        fitted = weights @ (self.gram @ weights) - 2 * weights @ self.moment
        return max(float(self.square + fitted), 1e-12)


@dataclass(frozen=True)
class Posterior:
    """What is believed after the sales.

    Attributes
    ----------
    weights : ndarray, shape (p,)
    covariance : ndarray, shape (p, p)
    noise : float
        Standard deviation of one observation of weight 1.
    precisions : ndarray, shape (p,)
        Prior precision of each column.
    scales : ndarray, shape (families,)
        Standard deviation of the weights of each family.
    rounds : int
        Rounds of the fixed point.
    """

    weights: Array
    covariance: Array
    noise: float
    precisions: Array
    scales: Array
    rounds: int


def weigh_evidence(
    sums: Sums,
    family: npt.NDArray[np.intp],
    pulls: Sequence[Pull],
    *,
    noise_pull: Pull = NO_PULL,
    start: Posterior | None = None,
    most_rounds: int = 300,
    tolerance: float = 1e-3,
) -> Posterior:
    """Find weights, scales and noise by MacKay's fixed point.

    Parameters
    ----------
    sums : Sums
        Cross products of the (doubt-scaled) columns and the target.
    family : ndarray of int, shape (p,)
        Family of each column.
    pulls : sequence of Pull
        Opinion on each family's scale.
    noise_pull : Pull
        Opinion on the noise.
    start : Posterior, optional
        Begin at the scales and noise of another fit.
    most_rounds, tolerance
        Stop after so many rounds, or when no log precision moves by more than this. A family of
        which less than a hundredth of a weight is determined is fading out and is not waited for.

    Returns
    -------
    Posterior
    """
    families = len(pulls)
    lam = np.array([p.towards**-2 if p.strength else 1.0 for p in pulls])
    alpha = noise_pull.towards**-2 if noise_pull.strength else sums.count / sums.square
    if start is not None:
        lam, alpha = start.scales**-2, start.noise**-2
    quietest = LEAST_NOISE**-2 * max(sums.count, 1.0) / sums.square
    # A column that no sale fills says nothing of any scale.
    part, own = sums.of_filled, family[sums.filled]
    rounds = 0
    for rounds in range(1, most_rounds + 1):  # noqa: B007
        solved = _solved(part, alpha, lam[own])
        weights = solved.times(alpha * part.moment)
        determined = np.clip(1 - lam[own] * solved.diagonal(), 0, 1)
        per_family = np.bincount(own, determined, families)
        squares = np.bincount(own, weights**2, families)
        new = np.array(
            [p.precision(d, s) for p, d, s in zip(pulls, per_family, squares, strict=True)]
        )
        new = np.clip(new, LOOSEST, TIGHTEST)
        free = max(sums.count - determined.sum(), LEAST_FREE * sums.count)
        new_alpha = noise_pull.precision(free, part.misfit(weights))
        new_alpha = min(new_alpha, quietest)
        alive = per_family > FADING
        moved = np.abs(np.log(np.append(new[alive] / lam[alive], new_alpha / alpha))).max()
        lam, alpha = new, new_alpha
        if moved < tolerance:
            break
    return settle(sums, alpha, lam[family], scales=lam**-0.5, rounds=rounds)


def settle(
    sums: Sums, alpha: float, precisions: Array, *, scales: Array, rounds: int = 0
) -> Posterior:
    """Weights and covariance for given noise precision and prior precisions.

    Parameters
    ----------
    sums : Sums
        Cross products of columns and log prices.
    alpha : float
        Precision of the noise of log price.
    precisions : ndarray, shape (columns,)
        Of the prior of each scaled weight.
    scales : ndarray, shape (columns,)
        Doubt by which each column was scaled.
    rounds : int
        Rounds that led here, for the record.

    Returns
    -------
    Posterior
    """
    filled, part = sums.filled, sums.of_filled
    solved = _solved(part, alpha, precisions[filled])
    weights, covariance = np.zeros(len(precisions)), np.diag(1 / precisions)
    weights[filled] = solved.times(alpha * part.moment)
    covariance[np.ix_(filled, filled)] = solved.covariance()
    return Posterior(weights, covariance, alpha**-0.5, precisions, scales, rounds)


def _solved(sums: Sums, alpha: float, precisions: Array) -> Solved:
    """Posterior's system for given noise precision and prior precisions, solved."""
    system = alpha * sums.gram
    # Where the columns explain every price exactly, the noise falls towards nothing and rounding
    # swallows the prior that keeps the system definite. So much more on the diagonal, relative to
    # itself, keeps the factor defined and shows in no digit.
    width = len(precisions)
    slack = 1 + 10 * width * np.finfo(float).eps
    np.fill_diagonal(system, (system.diagonal() + precisions) * slack)
    return Whole.of(system) if sums.parts is None else ByKind.of(system, sums.parts)
