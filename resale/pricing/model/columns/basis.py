"""What each option of each input adds to the columns: the alphabet that items are written in."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.sparse import csr_array

from resale.pricing.model.columns.terms import UNKNOWN, Array, Coded


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
    def of(
        cls,
        sizes: Sequence[int],
        numbers: int,
        group: int,
        columns_of: Callable[[Coded], Array],
    ) -> Basis:
        """Look at every option of every input alone, and at one of every number.

        Parameters
        ----------
        sizes : sequence of int
            Options of each input.
        numbers : int
            How many numbers an item has; they must enter as they are.
        group : int
            The group (kind) that the items belong to.
        columns_of : callable
            Writes the columns of coded items out, shape (n, p).
        """
        starts = np.cumsum([1, *sizes])
        codes = np.full((starts[-1] + numbers, len(sizes)), UNKNOWN, dtype=np.int16)
        for place, size in enumerate(sizes):
            codes[starts[place] : starts[place + 1], place] = np.arange(size)
        where = np.full(len(codes), group, dtype=np.intp)
        given = np.zeros((len(codes), numbers))
        given[starts[-1] :] = np.eye(numbers)
        columns = columns_of(Coded(where, codes, given))
        columns[1:] -= columns[0]
        return cls(csr_array(columns), starts)

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
