"""The choice for the rail as arrays: what a choice is worth, its relaxation, the exact programme.

maximise    sum of gain · x  -  sum of penalty · items beyond a soft side
subject to  sum of width · x  <=  free length,  hard sides kept,  x = 0 or 1

Notes
-----
Solved by HiGHS (Huangfu and Hall 2018, Mathematical Programming Computation 10, 119-142, cited
from memory) through SciPy. Widths are counted in whole tenths of a millimetre, so that a rail is
filled to the last one and never beyond.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt
import scipy
from scipy.sparse import csr_array, eye_array, hstack, vstack

from resale.pricing.model.columns.terms import Array
from resale.selling.rail.balance import Side

_OPTIMAL, _INFEASIBLE = 0, 2
# A millionth of an item is no item; see `Side.off`.
_NOTHING = 1e-6


@dataclass(frozen=True)
class Relaxation:
    """The best choice if items could be cut in pieces.

    Attributes
    ----------
    part : ndarray, shape (items,)
        How much of each goes out, 0 to 1.
    reduced : ndarray, shape (items,)
        What a whole item adds beyond what its room and its place in the balance are worth
        (minor units).
    worth : float
        No choice of whole items brings more (minor units); minus infinity where not even pieces
        of items keep the hard sides.
    """

    part: Array
    reduced: Array
    worth: float


@dataclass(frozen=True)
class Programme:
    """One choice to be made.

    Attributes
    ----------
    gains : ndarray, shape (items,)
        Minor units.
    widths : ndarray, shape (items,)
        Whole tenths of a millimetre.
    free : float
        Room on the rail (tenths of a millimetre).
    sides : tuple of Side
    """

    gains: Array
    widths: Array
    free: float
    sides: tuple[Side, ...]

    @cached_property
    def weights(self) -> Array:
        """Weights of the sides, shape (sides, items)."""
        rows = [side.weights for side in self.sides]
        return np.array(rows).reshape(len(rows), len(self.gains))

    @cached_property
    def limits(self) -> Array:
        """Limits of the sides, shape (sides,)."""
        return np.array([side.limit for side in self.sides], dtype=float)

    @cached_property
    def sign(self) -> Array:
        """1 for each side that is a least, -1 for each that is a most."""
        return np.array([1.0 if side.which == "least" else -1.0 for side in self.sides])

    @cached_property
    def hard(self) -> npt.NDArray[np.bool_]:
        """Which sides are kept whatever it costs, shape (sides,)."""
        return np.array([side.hard for side in self.sides], dtype=bool)

    @cached_property
    def penalty(self) -> Array:
        """What an item beyond each soft side counts; 0 for hard ones (minor units)."""
        return np.array([side.bound.penalty or 0.0 for side in self.sides])

    def beyond(self, amounts: Array) -> Array:
        """By how many items amounts, shape (..., sides), miss each side."""
        off = self.sign * (self.limits - amounts)
        return np.where(off > _NOTHING, off, 0.0)

    def net(self, chosen: Array) -> float:
        """Gain less penalties of a choice (minor units)."""
        return float(self.gains @ chosen - self.penalty @ self.beyond(self.weights @ chosen))

    def allows(self, chosen: Array) -> bool:
        """Whether a choice fits the rail and keeps the hard sides."""
        feasible = not self.beyond(self.weights @ chosen)[self.hard].any()
        return feasible and float(self.widths @ chosen) <= self.free

    @cached_property
    def rows(self) -> tuple[scipy.optimize.LinearConstraint, ...]:
        """Constraints over items, then what each side is missed by, then the number chosen.

        A share speaks of all items; with their number as a column, its row stays short.
        """
        many, count = len(self.gains), len(self.sides)
        blank = csr_array((1, count))
        width = hstack([csr_array(self.widths[None, :]), blank, csr_array((1, 1))])
        number = hstack([csr_array(np.ones((1, many))), blank, csr_array([[-1.0]])])
        fixed = scipy.optimize.LinearConstraint(
            vstack([width, number], format="csr"), [-np.inf, 0.0], [self.free, 0.0]
        )
        if not count:
            return (fixed,)
        share = np.array([side.share for side in self.sides])[:, None]
        balance = hstack(
            [
                csr_array(np.round(self.weights + share)),
                eye_array(count) * self.sign[:, None],
                csr_array(-share),
            ],
            format="csr",
        )
        low = np.where(self.sign > 0, self.limits, -np.inf)
        high = np.where(self.sign > 0, np.inf, self.limits)
        return fixed, scipy.optimize.LinearConstraint(balance, low, high)

    @cached_property
    def costs(self) -> Array:
        """Costs of all columns, for a solver that minimises."""
        return np.concatenate([-self.gains, self.penalty, [0.0]])

    def bounds(self, low: Array, high: Array) -> scipy.optimize.Bounds:
        """Bounds of all columns, from those of the items.

        Parameters
        ----------
        low, high : array, shape (n_items,)
            Least and most of each item: 0 or 1, both the same where it is decided.
        """
        count = len(self.sides)
        missed = np.where(self.hard, 0.0, np.inf)
        return scipy.optimize.Bounds(
            np.concatenate([low, np.zeros(count + 1)]),
            np.concatenate([high, missed, [float(len(low))]]),
        )

    def relaxed(self, seconds: float) -> Relaxation | None:
        """Solve it with items that may be cut in pieces; None where time ran out."""
        many = len(self.gains)
        equal, upper, at_most = _in_two_kinds(self.rows)
        columns = self.bounds(np.zeros(many), np.ones(many))
        found = scipy.optimize.linprog(
            self.costs,
            A_ub=upper,
            b_ub=at_most,
            A_eq=equal,
            b_eq=[0.0],
            bounds=np.column_stack([columns.lb, columns.ub]),
            method="highs",
            options={"time_limit": seconds},
        )
        if found.status == _INFEASIBLE:
            return Relaxation(np.zeros(many), np.zeros(many), -np.inf)
        if found.status != _OPTIMAL:
            return None
        reduced = -(found.lower.marginals + found.upper.marginals)[:many]
        return Relaxation(np.clip(found.x[:many], 0.0, 1.0), reduced, -float(found.fun))

    def exact(
        self, low: Array, high: Array, gap: float, seconds: float
    ) -> tuple[Array | None, float, bool]:
        """Solve it, with the items between bounds.

        Parameters
        ----------
        low, high : ndarray, shape (items,)
            0 and 1 for free items, twice the same for settled ones.
        gap : float
            Stop once proven to lie within this share of the best.
        seconds : float
            Stop then.

        Returns
        -------
        chosen : ndarray of 0 and 1, shape (items,), or None
            None where nothing was found.
        worth : float
            No choice between the bounds brings more; infinite where that is not known.
        possible : bool
            False where it is proven that no choice between the bounds keeps the hard sides.
        """
        many = len(self.gains)
        found = scipy.optimize.milp(
            self.costs,
            integrality=np.concatenate([np.ones(many), np.zeros(len(self.sides) + 1)]),
            bounds=self.bounds(low, high),
            constraints=self.rows,
            options={"mip_rel_gap": gap, "time_limit": seconds},
        )
        bound = found.mip_dual_bound
        worth = np.inf if bound is None or not np.isfinite(bound) else -float(bound)
        chosen = None if found.x is None else np.round(found.x[:many])
        return chosen, worth, found.status != _INFEASIBLE


def _in_two_kinds(
    rows: tuple[scipy.optimize.LinearConstraint, ...],
) -> tuple[csr_array, csr_array, Array]:
    """Write the rows as one equation and upper limits, as `linprog` takes them."""
    fixed = rows[0].A
    matrix, limit = [fixed[[0]]], [rows[0].ub[:1]]
    for row in rows[1:]:
        least = np.isfinite(row.lb)
        sign = np.where(least, -1.0, 1.0)
        matrix.append(row.A.multiply(sign[:, None]))
        limit.append(sign * np.where(least, row.lb, row.ub))
    return fixed[[1]], vstack(matrix, format="csr"), np.concatenate(limit)
