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
# Up to so many sales every score is kept as it is. Of more they are counted on a grid this fine, in
# spreads of log price, each rounded away from zero: a band never holds less for it.
EXACT_UP_TO, GRID = 20_000, 2.0**-12
# So many scores of a group, evenly spaced by rank, say where any share of them lies.
MOST_KEPT = 8_192


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
class ScoreTally:
    """How often each score came up in each group: tallies of lots of sales add up.

    Attributes
    ----------
    group : ndarray of int, shape (k,)
    score : ndarray, shape (k,)
        Ascending within the group.
    count : ndarray of int, shape (k,)
    """

    group: npt.NDArray[np.intp]
    score: Array
    count: npt.NDArray[np.int64]

    @classmethod
    def of(cls, signed: Array, group: npt.NDArray[np.intp], *, exact: bool) -> ScoreTally:
        """Count scores.

        Parameters
        ----------
        signed : ndarray, shape (n,)
        group : ndarray of int, shape (n,)
        exact : bool
            Whether they are kept as they are.

        Returns
        -------
        ScoreTally
        """
        if not exact:
            signed = np.copysign(np.ceil(np.abs(signed) / GRID) * GRID, signed)
        return cls._joined(group, signed, np.ones(len(signed), dtype=np.int64))

    def __add__(self, other: ScoreTally) -> ScoreTally:
        """Count both."""
        return self._joined(
            np.concatenate([self.group, other.group]),
            np.concatenate([self.score, other.score]),
            np.concatenate([self.count, other.count]),
        )

    @classmethod
    def _joined(
        cls, group: npt.NDArray[np.intp], score: Array, count: npt.NDArray[np.int64]
    ) -> ScoreTally:
        order = np.lexsort((score, group))
        group, score, count = group[order], score[order], count[order]
        new = np.ones(len(group), dtype=bool)
        new[1:] = (np.diff(group) != 0) | (np.diff(score) != 0)
        starts = np.flatnonzero(new)
        sums = np.add.reduceat(count, starts) if len(starts) else count
        return cls(group[starts], score[starts], sums)

    def sorted(self, group: int | None = None) -> Array:
        """Scores of a group, or of all, ascending; of many some, evenly spaced by rank."""
        rows = np.ones(len(self.group), bool) if group is None else self.group == group
        order = np.argsort(self.score[rows], kind="stable")
        score, ends = self.score[rows][order], np.cumsum(self.count[rows][order])
        total = int(ends[-1]) if len(ends) else 0
        kept = min(total, MOST_KEPT)
        # The middle of each of as many equal parts of the ranks.
        ranks = ((2 * np.arange(kept) + 1) * total) // (2 * kept) if kept else np.arange(0)
        return score[np.searchsorted(ends, ranks, side="right")]


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
        return cls.counted(ScoreTally.of(signed, group, exact=True), groups)

    @classmethod
    def counted(cls, tally: ScoreTally, groups: int) -> Scores:
        """Take scores that were counted.

        Parameters
        ----------
        tally : ScoreTally
        groups : int
            How many kinds there are.

        Returns
        -------
        Scores
        """
        counts = np.bincount(tally.group, tally.count, minlength=groups).astype(int)
        own = [g for g in range(groups) if counts[g] >= ENOUGH_SALES]
        return cls(
            tally.sorted(),
            {g: tally.sorted(g) for g in own},
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
