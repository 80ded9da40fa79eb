"""Whether one sorter reads higher than another, step for step, or uses the answers otherwise."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import scipy

from resale.training.agreement.kappa import COVERAGE, Array


@dataclass(frozen=True, slots=True)
class Homogeneity:
    """Test that two sorters use each answer equally often.

    Attributes
    ----------
    statistic : float
    freedom : int
        Degrees of freedom; 0 where there is nothing to test.
    chance : float
        How often two alike would differ at least so much.
    """

    statistic: float
    freedom: int
    chance: float


@dataclass(frozen=True, slots=True)
class Bias:
    """Systematic difference between two sorters on a ladder, in its steps.

    Attributes
    ----------
    steps : float
        Mean of the first sorter's step less the second's; above 0, the first reads better.
    low, high : float
        Interval of that mean.
    pairs : int
    higher, lower : int
        On how many items the first read better, or worse.
    sign_chance : float
        How often a fair coin would be at least so one-sided (exact sign test, both sides).
    homogeneity : Homogeneity
        The same question asked of how often each answer was used.
    """

    steps: float
    low: float
    high: float
    pairs: int
    higher: int
    lower: int
    sign_chance: float
    homogeneity: Homogeneity
    coverage: float = COVERAGE

    @property
    def is_systematic(self) -> bool:
        """Whether the mean is off by more than chance explains, and the sign test agrees."""
        beyond = self.low > 0 or self.high < 0
        return beyond and self.sign_chance <= 1 - self.coverage

    def sentence(self, first: str, second: str) -> str:
        """Say it in words.

        Parameters
        ----------
        first, second : str
            Names of the two, as the subject and the object of a sentence.
        """
        if self.is_systematic:
            way, often = ("kindly", self.higher) if self.steps > 0 else ("harshly", self.lower)
            least, most = sorted((abs(self.low), abs(self.high)))
            return (
                f"{first} grades more {way} than {second}: on {often} of {self.pairs} items a step "
                f"or more (on average {abs(self.steps):.1f}, between {least:.2f} and {most:.2f})."
            )
        span = f"between {self.low:+.1f} and {self.high:+.1f}"
        return (
            f"Over {self.pairs} items {first} and {second} show no steady difference "
            f"(mean {self.steps:+.1f} steps, {span})."
        )


def step_bias(table: npt.ArrayLike, *, coverage: float = COVERAGE) -> Bias:
    """Systematic difference of two sorters on an ordered signal.

    Parameters
    ----------
    table : array-like, shape (options, options)
        Counts of pairs of answers, poor to good; rows are the first sorter's.
    coverage : float

    Returns
    -------
    Bias
        With no interval (infinite ends) below two pairs.

    Notes
    -----
    The interval is Student's for the mean of the differences. The sign test (Dixon and Mood 1946,
    Journal of the American Statistical Association 41, 557) drops items on which both agree.
    """
    counts = np.asarray(table, dtype=float)
    options = len(counts)
    apart = np.subtract.outer(np.arange(options), np.arange(options)).astype(float)
    total = float(counts.sum())
    higher, lower = int(counts[apart > 0].sum()), int(counts[apart < 0].sum())
    mean = float((counts * apart).sum() / total) if total else float("nan")
    reach = float("inf")
    if total >= 2:
        variance = float((counts * (apart - mean) ** 2).sum() / (total - 1))
        reach = float(scipy.stats.t.ppf((1 + coverage) / 2, total - 1)) * float(
            np.sqrt(variance / total)
        )
    one_sided = higher + lower
    sign = float(scipy.stats.binomtest(higher, one_sided).pvalue) if one_sided else 1.0
    return Bias(
        mean,
        mean - reach,
        mean + reach,
        int(total),
        higher,
        lower,
        sign,
        stuart_maxwell(counts),
        coverage,
    )


def stuart_maxwell(table: npt.ArrayLike) -> Homogeneity:
    """Test of equal margins: whether two sorters use each answer equally often.

    ``d' S^-1 d``, with d the differences of the margins and S their covariance if there were none.

    Parameters
    ----------
    table : array-like, shape (options, options)

    Returns
    -------
    Homogeneity

    Notes
    -----
    Answers on which the two never differ are left out: they say nothing and would make S
    singular. Large-sample: with few differing items trust the sign test instead.

    References
    ----------
    Stuart 1955, Biometrika 42, 412. Maxwell 1970, British Journal of Psychiatry 116, 651.
    """
    counts = np.asarray(table, dtype=float)
    both = counts + counts.T
    moved = both.sum(axis=1) - 2 * np.diag(counts) > 0
    if moved.sum() < 2:
        return Homogeneity(0.0, 0, 1.0)
    # Answers fall into sets between which nobody ever differed; each set loses one freedom.
    spread = np.diag(both.sum(axis=1) - 2 * np.diag(counts)) - (both - np.diag(np.diag(both)))
    spread = spread[np.ix_(moved, moved)]
    away = (counts.sum(axis=1) - counts.sum(axis=0))[moved]
    freedom = int(np.linalg.matrix_rank(spread))
    statistic = float(away @ _inverse(spread) @ away)
    return Homogeneity(statistic, freedom, float(scipy.stats.chi2.sf(statistic, freedom)))


def _inverse(spread: Array) -> Array:
    """Pseudo-inverse: the differences sum to 0, so one direction is always empty."""
    return np.asarray(np.linalg.pinv(spread, hermitian=True))
