"""Columns of numbers: where a number enters, as a line or as a smooth curve."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy

from resale.pricing.model.columns.terms import Array, Coded


@dataclass(frozen=True)
class Scale:
    """How a number enters: in logs or as given, then centred and divided by its spread."""

    position: int
    in_logs: bool
    centre: float
    spread: float

    def apply(self, items: Coded) -> Array:
        """Return standardised values, 0 (the average) where missing; shape (n,)."""
        raw = items.numbers[:, self.position]
        if self.in_logs:
            # A number met later may be zero or negative; the log has no answer there, so it is
            # treated as the smallest positive number, far below every value of the fit.
            raw = np.log(np.maximum(raw, np.finfo(float).tiny))
            raw = np.maximum(raw, self.centre - 12 * self.spread)
        standard = (raw - self.centre) / self.spread
        return np.where(np.isnan(standard), 0.0, standard)


@dataclass(frozen=True)
class Line:
    """The straight part of a number's effect."""

    owner: str
    scale: Scale
    family: str = "lines"
    width: int = 1

    def columns(self, items: Coded) -> Array:
        """Return the standardised number."""
        return self.scale.apply(items)[:, None]


@dataclass(frozen=True)
class Bends:
    """What a smooth curve adds to the straight line of a number.

    A cubic B-spline basis, less its projection on constant and line, turned so that its columns
    are independent under the second-difference penalty: an equal shrinkage of the columns is then
    the usual smoothing penalty.

    Notes
    -----
    Eilers and Marx 1996, Statistical Science 11(2), P-splines; the turn to independent columns is
    the mixed-model form of Wand and Ormerod 2008, Aust. N. Z. J. Stat. 50(2), section 4 (cited
    from memory).

    Attributes
    ----------
    knots : ndarray
        Full knot vector of the cubic basis.
    straight : ndarray, shape (2, basis)
        Constant and slope of the projection of each basis column.
    turn : ndarray, shape (basis, width)
        From basis to independent columns.
    """

    owner: str
    scale: Scale
    knots: Array
    straight: Array
    turn: Array
    family: str = "bends"

    @property
    def width(self) -> int:
        """Count of columns."""
        return self.turn.shape[1]

    def columns(self, items: Coded) -> Array:
        """Curve columns; straight beyond the range of the fit; zero where missing."""
        known = ~np.isnan(items.numbers[:, self.scale.position])
        at = self.scale.apply(items)
        block = self._basis(at) - np.column_stack([np.ones_like(at), at]) @ self.straight
        return np.where(known[:, None], block @ self.turn, 0.0)

    def _basis(self, at: Array) -> Array:
        """Return the B-spline basis, continued in a straight line beyond its ends."""
        low, high = self.knots[3], self.knots[-4]
        inside = np.clip(at, low, high)
        basis = scipy.interpolate.BSpline.design_matrix(inside, self.knots, 3).toarray()
        beyond = at - inside
        if np.any(beyond):
            slope = self.end_slopes()
            basis = basis + np.minimum(beyond, 0)[:, None] * slope[0]
            basis = basis + np.maximum(beyond, 0)[:, None] * slope[1]
        return basis

    def end_slopes(self) -> Array:
        """Return slopes of the basis columns at both ends, shape (2, basis)."""
        count = len(self.knots) - 4
        curve = scipy.interpolate.BSpline(self.knots, np.eye(count), 3).derivative()
        return np.asarray(curve(np.array([self.knots[3], self.knots[-4]])))

    def climb(self) -> tuple[Array, Array]:
        """Return rows that are all non-negative only if line plus curve never falls.

        Differences of neighbouring B-spline coefficients; that they are non-negative suffices for
        a rising spline (de Boor, A Practical Guide to Splines, ch. XI, from memory).

        Returns
        -------
        line : ndarray, shape (basis - 1,)
        bends : ndarray, shape (basis - 1, width)
        """
        # Marsden's identity: the coefficients of the straight line are the means of inner knots.
        line = np.array([self.knots[j + 1 : j + 4].mean() for j in range(len(self.knots) - 4)])
        bends = (np.eye(len(line)) - np.outer(line, self.straight[1])) @ self.turn
        return np.diff(line), np.diff(bends, axis=0)
