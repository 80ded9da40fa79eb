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

    def __add__(self, other: Coded) -> Coded:
        """Both, one after the other; coded alike."""
        return Coded(
            np.concatenate([self.group, other.group]),
            np.concatenate([self.codes, other.codes]),
            np.concatenate([self.numbers, other.numbers]),
            _both(self.vague, other.vague),
            _both(self.strength, other.strength),
        )

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


def _both(first: Array | None, second: Array | None) -> Array | None:
    return None if first is None or second is None else np.concatenate([first, second])


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


def groups_of(term: Term) -> npt.NDArray[np.intp]:
    """Group whose items alone fill each column of a term, shape (width,); -1 where it is shared."""
    if isinstance(term, Departure):
        return np.full(term.width, term.group)
    if isinstance(term, Slopes):
        return np.arange(term.width)
    if isinstance(term, Anchors):
        return np.arange(-1, term.groups)
    # An option has a share in the groups that ask for it; a label is asked for in none.
    using = [-1]
    if isinstance(term, Levels | Steps):
        using = np.flatnonzero(term.centre.any(axis=1)).tolist()
    return np.full(term.width, using[0] if len(using) == 1 else -1)
