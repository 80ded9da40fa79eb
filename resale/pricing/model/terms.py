"""The kinds of column that a price is a sum of.

Every term turns coded items into a block of columns that is zero for an average item and exactly
zero where nothing is known. A term knows which input it speaks for, so that its share of a price
can be shown under that name.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
import numpy.typing as npt
import scipy

Array = npt.NDArray[np.float64]
Codes = npt.NDArray[np.int16]

UNKNOWN = -1


@dataclass(frozen=True)
class Coded:
    """Items as integers and numbers.

    Attributes
    ----------
    group : ndarray of int, shape (n,)
        Index of the item's group (its kind); 0 where there are no groups.
    codes : ndarray of int16, shape (n, s)
        Level of each discrete input; -1 is *not looked at*.
    numbers : ndarray of float, shape (n, m)
        Numeric inputs as given; NaN is *not looked at*.
    vague : ndarray, shape (n, m), optional
        Variance that is left in each number, given what was seen; none where omitted.
    strength : ndarray, shape (n, s), optional
        How much each discrete input counts in this item; 1 where omitted.
    """

    group: npt.NDArray[np.intp]
    codes: Codes
    numbers: Array
    vague: Array | None = None
    strength: Array | None = None

    def __len__(self) -> int:
        return len(self.group)

    def rows(self, chosen: slice | npt.NDArray[np.intp]) -> Coded:
        """Return some of the items."""
        return Coded(
            self.group[chosen],
            self.codes[chosen],
            self.numbers[chosen],
            None if self.vague is None else self.vague[chosen],
            None if self.strength is None else self.strength[chosen],
        )

    def counted(self, block: Array, position: int) -> Array:
        """Columns of one discrete input, as much as it counts in each item.

        Parameters
        ----------
        block : ndarray, shape (n, columns of the input)
        position : int
            Place of the input.

        Returns
        -------
        ndarray, shape (n, columns of the input)
        """
        return block if self.strength is None else block * self.strength[:, [position]]


class Term(Protocol):
    """A block of columns."""

    @property
    def owner(self) -> str:
        """Name under which its contribution is shown."""

    @property
    def family(self) -> str:
        """Family whose shrinkage it shares."""

    @property
    def width(self) -> int:
        """Count of columns."""

    def columns(self, items: Coded) -> Array:
        """Columns for these items, shape (n, width)."""


@dataclass(frozen=True)
class Levels:
    """One column for each option of an unordered input, less how common it is in the group.

    Attributes
    ----------
    centre : ndarray, shape (groups, options)
        Share of each option in each group.
    """

    owner: str
    position: int
    centre: Array
    family: str = "levels"

    @property
    def width(self) -> int:
        """Count of options."""
        return self.centre.shape[1]

    def columns(self, items: Coded) -> Array:
        """Indicator less share; zero where not looked at."""
        code = items.codes[:, self.position]
        block = (code[:, None] == np.arange(self.width)) - self.centre[items.group]
        block[code == UNKNOWN] = 0.0
        return items.counted(block, self.position)


@dataclass(frozen=True)
class Steps:
    """One column for each step of a ladder: at or above it, less how common that is.

    A ladder of L options has L - 1 steps; a step's weight is what climbing it does to the price,
    so the order of the options is the sign of the weights.
    """

    owner: str
    position: int
    centre: Array
    family: str = "steps"

    @property
    def width(self) -> int:
        """Count of steps."""
        return self.centre.shape[1]

    def columns(self, items: Coded) -> Array:
        """Indicator of being at or above each step, less its share; zero where not looked at."""
        code = items.codes[:, self.position]
        block = (code[:, None] > np.arange(self.width)) - self.centre[items.group]
        block[code == UNKNOWN] = 0.0
        return items.counted(block, self.position)


@dataclass(frozen=True)
class Slopes:
    """One number, as given, with a slope in each group; zero where it is missing."""

    owner: str
    position: int
    groups: int
    family: str = "slopes"

    @property
    def width(self) -> int:
        """One slope a group."""
        return self.groups

    def columns(self, items: Coded) -> Array:
        """Return the number in the column of the item's group."""
        given = np.nan_to_num(items.numbers[:, self.position], nan=0.0)
        return np.asarray(given[:, None] * (items.group[:, None] == np.arange(self.groups)))


@dataclass(frozen=True)
class Since:
    """Steps from one period to the next, less those that were still to come.

    The columns of the newest period are all zero, so that the level is that of today.
    """

    owner: str
    position: int
    periods: int
    family: str = "time"

    @property
    def width(self) -> int:
        """One step between two periods."""
        return self.periods - 1

    def columns(self, items: Coded) -> Array:
        """Minus one for each step after the item's period; zero where that is unknown."""
        code = items.codes[:, self.position]
        ahead = (code[:, None] <= np.arange(self.width)) & (code[:, None] != UNKNOWN)
        return np.asarray(-ahead.astype(float))


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


@dataclass(frozen=True)
class Pair:
    """Products of the columns of two terms: what the two do together beyond each alone."""

    first: Term
    second: Term
    family: str

    @property
    def owner(self) -> str:
        """Both names."""
        return f"{self.first.owner} × {self.second.owner}"

    @property
    def width(self) -> int:
        """Product of both widths."""
        return self.first.width * self.second.width

    def columns(self, items: Coded) -> Array:
        """All products of a column of the first with a column of the second."""
        left, right = self.first.columns(items), self.second.columns(items)
        return np.asarray(left[:, :, None] * right[:, None, :]).reshape(len(items), -1)


@dataclass(frozen=True)
class Departure:
    """What one group does otherwise: the columns of a term, for the items of that group alone."""

    inner: Term
    group: int
    family: str = "departures"

    @property
    def owner(self) -> str:
        """Name of the inner term: a departure belongs to the same signal."""
        return self.inner.owner

    @property
    def width(self) -> int:
        """Width of the inner term."""
        return self.inner.width

    def columns(self, items: Coded) -> Array:
        """Columns of the inner term, zero outside the group."""
        return self.inner.columns(items) * (items.group == self.group)[:, None]


@dataclass(frozen=True)
class Anchors:
    """A level for all groups together and one for each group: what an average item brings."""

    owner: str
    groups: int
    family: str = "anchors"

    @property
    def width(self) -> int:
        """One for all, one for each group."""
        return self.groups + 1

    def columns(self, items: Coded) -> Array:
        """A column of ones, then one indicator for each group."""
        block = np.ones((len(items), self.width))
        block[:, 1:] = items.group[:, None] == np.arange(self.groups)
        return block
