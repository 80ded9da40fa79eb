"""What each option of each input adds to the columns: the alphabet that items are written in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.sparse import csr_array

from resale.pricing.model.columns.terms import (
    UNKNOWN,
    Coded,
    Codes,
    Departure,
    Levels,
    Since,
    Slopes,
    Steps,
    Term,
)


@dataclass(frozen=True)
class Basis:
    """What each option of each input, and each number, adds to the columns, in one group.

    Attributes
    ----------
    rows : sparse array, shape (cells, p)
        First the columns of an item of which nothing is known, then what each option adds, then
        what one of each number adds.
    starts : ndarray of int, shape (inputs + 1,)
        Cell of each input's first option.
    """

    rows: csr_array
    starts: npt.NDArray[np.intp]

    @classmethod
    def of(cls, sizes: Sequence[int], numbers: int, group: int, terms: Sequence[Term]) -> Basis:
        """Look at every option of every input alone, and at one of every number.

        Parameters
        ----------
        sizes : sequence of int
            Options of each input.
        numbers : int
            How many numbers an item has; they must enter as they are.
        group : int
            The group (kind) that the items belong to.
        terms : sequence of Term
            The blocks of columns, each of which speaks of one input or of none.
        """
        starts = np.cumsum([1, *sizes])
        blank = np.full((1, len(sizes)), UNKNOWN, dtype=np.int16)
        parts, first = [], 0
        for term in terms:
            if not isinstance(term, Departure) or term.group == group:
                rows, items = _alone(term, starts, numbers, group, blank)
                columns = term.columns(items)
                columns[1:] -= columns[0]
                at, column = np.nonzero(columns)
                parts.append((columns[at, column], rows[at], first + column))
            first += term.width
        worth, cell, column = (np.concatenate(part) for part in zip(*parts, strict=True))
        return cls(csr_array((worth, (cell, column)), (starts[-1] + numbers, first)), starts)

    def cells(self, items: Coded) -> csr_array:
        """Cells of items of the group: 1 for the group, for each option how much it counts (1),
        and each number; shape (n, cells).
        """  # noqa: D205
        count, numbers = items.numbers.shape
        first = int(self.starts[-1])
        # Most inputs are those of other groups.
        used = np.flatnonzero((items.codes != UNKNOWN).any(axis=0))
        codes = items.codes[:, used]
        given = np.nan_to_num(items.numbers, nan=0.0)
        place = np.hstack(
            [
                np.zeros((count, 1), np.intp),
                self.starts[:-1][used] + codes,
                np.broadcast_to(first + np.arange(numbers), (count, numbers)),
            ]
        )
        filled = np.hstack([np.ones((count, 1), bool), codes != UNKNOWN, given != 0])
        counted = np.ones(codes.shape) if items.strength is None else items.strength[:, used]
        worth = np.hstack([np.ones((count, 1)), counted, given])
        ends = np.concatenate([[0], np.cumsum(filled.sum(axis=1))])
        return csr_array((worth[filled], place[filled], ends), shape=(count, first + numbers))


def _alone(
    term: Term, starts: npt.NDArray[np.intp], numbers: int, group: int, blank: Codes
) -> tuple[npt.NDArray[np.intp], Coded]:
    """Cells that a term can say something of, the item of which nothing is known first."""
    inner = term.inner if isinstance(term, Departure) else term
    cells, given = np.zeros(1, dtype=np.intp), np.zeros((1, numbers))
    codes = blank
    if isinstance(inner, Levels | Steps | Since):
        cells = np.append(0, np.arange(starts[inner.position], starts[inner.position + 1]))
        codes = np.repeat(blank, len(cells), axis=0)
        codes[1:, inner.position] = np.arange(len(cells) - 1)
        given = np.zeros((len(cells), numbers))
    elif isinstance(inner, Slopes):
        cells = np.append(0, starts[-1] + np.arange(numbers))
        codes, given = np.repeat(blank, len(cells), axis=0), np.eye(numbers + 1, numbers, -1)
    return cells, Coded(np.full(len(cells), group, dtype=np.intp), codes, given)
