"""Whether the quick are less often right: speed against accuracy."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import scipy

from resale.training.agreement.kappa import COVERAGE

FEWEST = 5
"""Below this many there is no interval worth the name."""


@dataclass(frozen=True, slots=True)
class RankCorrelation:
    """Rank correlation of time taken with being right.

    Attributes
    ----------
    value : float
        Above 0: those (or the answers) that took longer were more often right. nan where all were
        alike, or there were too few.
    low, high : float
    count : int
    """

    value: float
    low: float
    high: float
    count: int

    @property
    def sentence(self) -> str:
        """Say it in words."""
        if not np.isfinite(self.value):
            return "Too little variety to set time against being right."
        span = f"rank correlation {self.value:+.2f}, between {self.low:+.2f} and {self.high:+.2f}"
        if self.low > 0:
            return (
                f"Taking longer goes with being right more often ({span}); whether haste is why, "
                "this cannot say."
            )
        if self.high < 0:
            return f"The quicker answers are the better ones ({span})."
        return f"No steady link between time and being right ({span})."


def speed_against_accuracy(
    seconds: npt.ArrayLike, right: npt.ArrayLike, *, coverage: float = COVERAGE
) -> RankCorrelation:
    """Spearman's rank correlation of seconds with accuracy, with its interval.

    Parameters
    ----------
    seconds : array-like, shape (n,)
        Time of each answer, or a sorter's mean time.
    right : array-like, shape (n,)
        1 or 0 of each answer, or a sorter's share of right answers.

    Returns
    -------
    RankCorrelation

    Notes
    -----
    Interval on Fisher's scale with the standard error ``sqrt((1 + r^2 / 2) / (n - 3))`` (Bonett
    and Wright 2000, Psychometrika 65, 23, from memory). Answers of several people pooled mix the
    quick people with the quick answers: ask for each sorter apart.
    """
    time, good = np.asarray(seconds, dtype=float), np.asarray(right, dtype=float)
    count, nan = len(time), float("nan")
    if count < FEWEST or np.ptp(time) == 0 or np.ptp(good) == 0:
        return RankCorrelation(nan, nan, nan, count)
    value = float(scipy.stats.spearmanr(time, good).statistic)
    if abs(value) > 1 - 1e-12:
        return RankCorrelation(value, value, value, count)
    error = np.sqrt((1 + value**2 / 2) / (count - 3))
    reach = float(scipy.stats.norm.ppf((1 + coverage) / 2)) * error
    low, high = np.tanh(np.arctanh(value) + np.array([-reach, reach]))
    return RankCorrelation(value, float(low), float(high), count)
