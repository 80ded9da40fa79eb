"""Whether drilling helps: drilled signs before and after, against the person's own other signs.

Everybody gets better with time, and some weeks are harder than others. So what counts is how much
more the drilled signs changed than those that were not drilled yet, in the same weeks, by the same
person: difference in differences, with the order in which drilling begins stated beforehand.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import scipy

from resale.training.agreement.kappa import COVERAGE, Array

FEWEST_SIGNS, FEWEST_LOOKS = 4, 30
"""Signs, and looks, below which nothing is said."""


@dataclass(frozen=True, slots=True)
class Look:
    """One look at one sign of a thing that was read twice.

    Attributes
    ----------
    sign : hashable
        Whatever keeps its own level: a sign, or a sign of one person.
    week : int
    drilled : bool
        Whether drilling of the sign had begun.
    wrong : float
        1 where it was misread or passed over, else 0.
    """

    sign: Hashable
    week: int
    drilled: bool
    wrong: float


@dataclass(frozen=True, slots=True)
class Effect:
    """What drilling did, as a change of the share read wrong.

    Attributes
    ----------
    change : float
        Below 0: fewer are read wrong. nan where it cannot be said.
    low, high : float
    looks, signs : int
    """

    change: float
    low: float
    high: float
    looks: int
    signs: int

    @property
    def can_be_said(self) -> bool:
        """Whether there was enough to compare."""
        return bool(np.isfinite(self.change))

    @property
    def sentence(self) -> str:
        """Say it in words that promise no more than the interval does."""
        if not self.can_be_said:
            return (
                "Cannot be said yet: it takes looks at drilled and at other signs, before drilling "
                "began and after."
            )
        fewer, most, least = (round(-100 * one) for one in (self.change, self.low, self.high))
        if self.high < 0:
            return (
                f"Drilling helps: of a hundred looks, about {fewer} fewer are wrong than the other "
                f"signs explain (between {least} and {most})."
            )
        if self.low > 0:
            return (
                f"Drilled signs are read worse than the other signs explain: of a hundred looks "
                f"about {-fewer} more are wrong. Look at it together."
            )
        return (
            "No sign yet that drilling helps: of a hundred looks it may make anything from "
            f"{_more(least)} to {_more(most)} wrong."
        )


def _more(fewer: int) -> str:
    return f"{fewer} fewer" if fewer > 0 else f"{-fewer} more"


def difference_in_differences(looks: Sequence[Look], *, coverage: float = COVERAGE) -> Effect:
    """Regress being wrong on drilling, with a level of its own for each sign and each week.

    Parameters
    ----------
    looks : sequence of Look
        Of one person, or of several with signs told apart.
    coverage : float

    Returns
    -------
    Effect

    Notes
    -----
    With two groups and two periods the coefficient is the difference of the two differences of
    means. Errors are clustered by sign, with the small-sample factor G/(G-1) (N-1)/(N-K) and
    Student's t on G-1. Where drilling begins at several times, the coefficient is a mean of
    comparisons, some with signs drilled earlier: it is right where an effect comes at once and
    stays, and too small where it grows (Goodman-Bacon 2021, Journal of Econometrics 225, 254,
    from memory).

    References
    ----------
    Angrist and Pischke 2009, Mostly Harmless Econometrics, ch. 5 and 8, from memory.
    """
    signs, sign = np.unique([repr(one.sign) for one in looks], return_inverse=True)
    weeks, week = np.unique([one.week for one in looks], return_inverse=True)
    drilled = np.array([one.drilled for one in looks], dtype=float)
    wrong = np.array([one.wrong for one in looks], dtype=float)
    nan = float("nan")
    unsaid = Effect(nan, nan, nan, len(looks), len(signs))
    if len(looks) < FEWEST_LOOKS or len(signs) < FEWEST_SIGNS or len(weeks) < 2:
        return unsaid
    design = np.column_stack([drilled, np.eye(len(signs))[sign], np.eye(len(weeks))[week][:, 1:]])
    # What sign and week leave of drilling: nothing, where all signs began at once.
    rest = drilled - design[:, 1:] @ np.linalg.lstsq(design[:, 1:], drilled, rcond=None)[0]
    if rest @ rest < 1e-8 * len(looks):
        return unsaid
    weights = np.linalg.lstsq(design, wrong, rcond=None)[0]
    change = float(weights[0])
    error = _clustered(rest, wrong - design @ weights, sign, np.linalg.matrix_rank(design))
    reach = float(scipy.stats.t.ppf((1 + coverage) / 2, len(signs) - 1)) * error
    return Effect(change, change - reach, change + reach, len(looks), len(signs))


def _clustered(rest: Array, residual: Array, cluster: npt.NDArray[np.intp], columns: int) -> float:
    """Error of the coefficient that `rest` stands for, clusters hanging together."""
    sums = np.bincount(cluster, rest * residual)
    groups, count = len(sums), len(rest)
    factor = groups / (groups - 1) * (count - 1) / (count - columns)
    return float(np.sqrt(factor * (sums @ sums)) / (rest @ rest))
