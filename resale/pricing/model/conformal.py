"""Price bands that keep their word: conformal, on normalised left-out residuals.

For each past sale the price was predicted without that sale; the residual over its own expected
spread is its score. A band reaches out to a rank of those scores, by group where the group has
enough sales and over all sales otherwise.

References
----------
Vovk, Gammerman and Shafer 2005, Algorithmic Learning in a Random World (rank of the score);
Lei, G'Sell, Rinaldo, Tibshirani and Wasserman 2018, JASA 113(523), section 5.2 (normalised
scores); Barber, Candès, Ramdas and Tibshirani 2021, Ann. Stat. 49(1), 486-507: left-out residuals
cover at least 1 - 2a without conditions in the jackknife+ form, and near 1 - a where the fit is
stable. Ours is the plain, symmetric form, so near 1 - a is what the tests measure, not a theorem.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr, ndtri

from resale.pricing.model.columns.terms import Array

# Below this many sales of a group its band rests on all groups together.
ENOUGH_SALES = 40


def conformal_rank(n: int, miss: float | Fraction) -> int:
    """Rank of the score that a band must reach: ``ceil((n + 1)(1 - miss))``.

    Parameters
    ----------
    n : int
        Count of scores.
    miss : float or Fraction
        Share of sales allowed outside, between 0 and 1. A float is read as the decimal fraction
        that it prints as, so that 0.1 means one tenth.

    Returns
    -------
    int
        From 1; a rank above n means that no finite band keeps the promise.

    Examples
    --------
    >>> conformal_rank(19, 0.2)
    16
    """
    return ceil((n + 1) * (1 - Fraction(str(miss))))


@dataclass(frozen=True)
class Scores:
    """Left-out residuals of past sales over their expected spread.

    Attributes
    ----------
    pooled : ndarray
        Signed scores of all sales, ascending.
    by_group : mapping of int to ndarray
        The same for each group with enough sales.
    counts : mapping of int to int
        Sales of each group.
    """

    pooled: Array
    by_group: Mapping[int, Array]
    counts: Mapping[int, int]

    @classmethod
    def of(cls, signed: Array, group: npt.NDArray[np.intp], groups: int) -> Scores:
        """Sort scores of past sales by group.

        Parameters
        ----------
        signed : ndarray, shape (n,)
            Error of log price over its expected spread, of each past sale.
        group : ndarray of int, shape (n,)
            Kind of each sale.
        groups : int
            How many kinds there are.

        Returns
        -------
        Scores
        """
        counts = np.bincount(group, minlength=groups)
        return cls(
            np.sort(signed),
            {g: np.sort(signed[group == g]) for g in range(groups) if counts[g] >= ENOUGH_SALES},
            {g: int(count) for g, count in enumerate(counts)},
        )

    def of_group(self, group: int) -> Array:
        """Scores that the band of this group rests on."""
        return self.by_group.get(group, self.pooled)

    def rests_on_group(self, group: int) -> bool:
        """Whether the group has enough sales of its own."""
        return group in self.by_group

    def reach(self, group: int, coverage: float) -> float:
        """How many expected spreads the band reaches either way; infinite when unprovable.

        Parameters
        ----------
        group : int
            Kind.
        coverage : float
            Share of sales that the band should hold, above 0 and below 1.

        Returns
        -------
        float
            Multiple of the expected standard deviation of log price.
        """
        scores = self.of_group(group)
        if len(scores) == 0:
            return float(ndtri(0.5 + coverage / 2))
        return rank_of_size(np.abs(scores), coverage)

    def below(self, group: int, at: Array, coverage: float) -> Array:
        """Chance that a sale's score lies below each value: the scores' own distribution.

        With few scores it is a normal distribution that reaches as far as the band: of all
        chances, the stated share lies inside the band, however many sales there are.

        Parameters
        ----------
        group : int
        at : ndarray
            Scores.
        coverage : float
            Share that the band should hold.

        Returns
        -------
        ndarray
            Of the shape of `at`.
        """
        scores = self.of_group(group)
        if len(scores) < ENOUGH_SALES:
            reach = self.reach(group, coverage)
            # A band without an end says nothing of a spread; the stated one is then the best.
            unit = reach / ndtri(0.5 + coverage / 2) if np.isfinite(reach) else 1.0
            return np.asarray(ndtr(at / unit))
        ranks = (np.arange(1, len(scores) + 1) - 0.5) / len(scores)
        return np.interp(at, scores, ranks, left=0.0, right=1.0)


def rank_of_size(sizes: Array, coverage: float) -> float:
    """Size of rank ceil((n + 1) coverage) among the sizes; infinite beyond the last.

    Parameters
    ----------
    sizes : ndarray, shape (n,)
        In any order.
    coverage : float
        Share that should lie within, above 0 and below 1.

    Returns
    -------
    float
    """
    rank = conformal_rank(len(sizes), 1 - Fraction(str(coverage)))
    if rank > len(sizes):
        return float("inf")
    return float(np.partition(sizes, rank - 1)[rank - 1])
