"""How far two sorters, or a fixed number of them, agree beyond chance: the kappas."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt
import scipy

Array = npt.NDArray[np.float64]
Weights = Literal["none", "linear", "quadratic"] | Array
COVERAGE = 0.95
SAME_MUCH, APART = 0.8, 0.15
"""From so many same answers, a figure lower by so much wants a word."""

# Landis and Koch 1977, Biometrics 33, table 2: upper edge of each word.
_STRENGTHS = (
    (0.20, "slight"),
    (0.40, "fair"),
    (0.60, "moderate"),
    (0.80, "substantial"),
    (1.00, "almost perfect"),
)
STRENGTH_NOTE = (
    "The words for strength are a convention (Landis and Koch 1977), with no law of nature "
    "behind their edges."
)


@dataclass(frozen=True, slots=True)
class Agreement:
    """Agreement beyond chance, with its interval.

    Attributes
    ----------
    value : float
        1 is full agreement, 0 what chance would give; nan where it cannot be said, because all
        answers were the same.
    low, high : float
        Interval that holds the true value in a share `coverage` of samples.
    standard_error : float
        nan where the method gives none.
    observed, expected : float
        Share of agreement seen, and expected by chance from how often each uses each answer.
    items : int
        Items that the figure rests on.
    """

    value: float
    low: float
    high: float
    standard_error: float
    observed: float
    expected: float
    items: int
    coverage: float = COVERAGE

    @property
    def can_be_said(self) -> bool:
        """Whether there was any variety to agree on."""
        return bool(np.isfinite(self.value))

    @property
    def strength(self) -> str:
        """Words for it, by convention: those of both ends of the interval, where they differ."""
        low, high = strength(self.low), strength(self.high)
        if not (np.isfinite(self.value) and np.isfinite(self.low) and np.isfinite(self.high)):
            return strength(self.value)
        return low if low == high else f"{low} to {high}"

    def beside(self, same: float) -> str:
        """Explain a low figure beside a high share of same answers; empty where none is.

        Parameters
        ----------
        same : float, 0 to 1
            Share of things with the same answer.
        """
        if not self.can_be_said or same < SAME_MUCH or self.value > same - APART:
            return ""
        return (
            f"The same answer on {same:.0%}, and yet {self.value:.2f}: with answers so alike, "
            f"chance alone would bring {self.expected:.0%}, and of what is left they share "
            f"{max(self.value, 0):.0%}. The rare answers are where they part."
        )


def strength(value: float) -> str:
    """Word for the strength of agreement: a convention of Landis and Koch (1977).

    Examples
    --------
    >>> strength(0.55)
    'moderate'
    """
    if not np.isfinite(value):
        return "cannot be said"
    if value < 0:
        return "poor"
    # Their table prints two decimals, so a value is taken to two before it is given a word.
    return next(word for edge, word in _STRENGTHS if round(value, 2) <= edge)


def cross_table(first: Sequence[int], second: Sequence[int], options: int) -> Array:
    """Count pairs of answers.

    Parameters
    ----------
    first, second : sequence of int
        Place of each answer among the options; -1 is *not looked at*, and such a pair is left out.
    options : int

    Returns
    -------
    ndarray, shape (options, options)
        Rows by the first sorter's answer, columns by the second's.
    """
    one, other = np.asarray(first, dtype=np.intp), np.asarray(second, dtype=np.intp)
    both = (one >= 0) & (other >= 0)
    table = np.zeros((options, options))
    np.add.at(table, (one[both], other[both]), 1.0)
    return table


def disagreement(weights: Weights, options: int) -> Array:
    """Weight of each pair of answers: 0 for the same, larger the further apart.

    Parameters
    ----------
    weights : 'none', 'linear', 'quadratic' or ndarray, shape (options, options)
        All disagreements alike; by steps; by steps squared; or as given.

    Raises
    ------
    ValueError
        If weights as given are of another shape, below 0, or not 0 on the diagonal.
    """
    if not isinstance(weights, str):
        given = np.asarray(weights, dtype=float)
        if given.shape != (options, options) or given.min() < 0 or np.diag(given).any():
            raise ValueError(
                f"weights must be {options} x {options}, none below 0, and 0 on the diagonal"
            )
        return given
    place = np.arange(options, dtype=float)
    apart = np.abs(place[:, None] - place[None, :])
    return {"none": (apart > 0).astype(float), "linear": apart, "quadratic": apart**2}[weights]


def cohen_kappa(
    table: npt.ArrayLike, *, weights: Weights = "none", coverage: float = COVERAGE
) -> Agreement:
    """Cohen's kappa of two sorters, plain or weighted, with its asymptotic interval.

    ``kappa = 1 - sum(v * p) / sum(v * e)``, with v the weights of disagreement, p the shares of
    the table, e the products of its margins.

    Parameters
    ----------
    table : array-like, shape (options, options)
        Counts of pairs of answers, as `cross_table` gives.
    weights : 'none', 'linear', 'quadratic' or ndarray
        As for `disagreement`.
    coverage : float, between 0 and 1

    Returns
    -------
    Agreement

    Notes
    -----
    The standard error is the large-sample one. With no disagreement at all it would be 0; there
    the low end comes instead from the largest share of disagreements that would still show none
    this often, taken at their full weight.

    References
    ----------
    Cohen 1960, Educational and Psychological Measurement 20, 37. Cohen 1968, Psychological
    Bulletin 70, 213. Fleiss, Cohen and Everitt 1969, Psychological Bulletin 72, 323 (the error).

    Examples
    --------
    >>> round(cohen_kappa([[88, 10, 2], [14, 40, 6], [18, 10, 12]]).value, 4)
    0.4915
    """
    counts = np.asarray(table, dtype=float)
    total = float(counts.sum())
    if total == 0:
        return _unsaid(0, coverage)
    agree = _as_agreement(disagreement(weights, len(counts)))
    share = counts / total
    rows, columns = share.sum(axis=1), share.sum(axis=0)
    observed = float((agree * share).sum())
    expected = float(rows @ agree @ columns)
    if expected > 1 - 1e-12:
        return _unsaid(int(total), coverage)
    value = (observed - expected) / (1 - expected)
    mean = (agree @ columns)[:, None] + (rows @ agree)[None, :]
    spread = float((share * (agree - mean * (1 - value)) ** 2).sum())
    variance = (spread - (value - expected * (1 - value)) ** 2) / (total * (1 - expected) ** 2)
    error = float(np.sqrt(max(variance, 0.0)))
    reach = float(scipy.stats.norm.ppf((1 + coverage) / 2)) * error
    low, high = max(value - reach, min(value, -1.0)), min(value + reach, 1.0)
    if observed > 1 - 1e-12:
        unseen = 1 - ((1 - coverage) / 2) ** (1 / total)
        low = max(1 - unseen / (1 - expected), -1.0)
    return Agreement(value, low, high, error, observed, expected, int(total), coverage)


def _as_agreement(apart: Array) -> Array:
    largest = apart.max()
    return 1 - apart / largest if largest > 0 else np.ones_like(apart)


def _unsaid(items: int, coverage: float) -> Agreement:
    nan = float("nan")
    return Agreement(nan, nan, nan, nan, nan, nan, items, coverage)
