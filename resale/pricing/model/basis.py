"""What each option of each input adds to the columns: the alphabet that items are written in."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.sparse import csr_array

from resale.pricing.model.terms import UNKNOWN, Array, Coded


@dataclass(frozen=True)
class Basis:
    """What each option of each input adds to the columns, in one group.

    Attributes
    ----------
    rows : ndarray, shape (cells, p)
        First the columns of an item of which nothing is known, then what each option adds.
    starts : ndarray of int, shape (inputs + 1,)
        Cell of each input's first option.
    """

    rows: Array
    starts: npt.NDArray[np.intp]

    @classmethod
    def of(cls, sizes: Sequence[int], group: int, columns_of: Callable[[Coded], Array]) -> Basis:
        """Look at every option of every input alone.

        Parameters
        ----------
        sizes : sequence of int
            Options of each input.
        group : int
            The group (kind) that the items belong to.
        columns_of : callable
            Writes the columns of coded items out, shape (n, p).
        """
        starts = np.cumsum([1, *sizes])
        codes = np.full((starts[-1], len(sizes)), UNKNOWN, dtype=np.int16)
        for place, size in enumerate(sizes):
            codes[starts[place] : starts[place + 1], place] = np.arange(size)
        where = np.full(len(codes), group, dtype=np.intp)
        columns = columns_of(Coded(where, codes, np.empty((len(codes), 0))))
        columns[1:] -= columns[0]
        return cls(columns, starts)

    def cells(self, codes: npt.NDArray[np.int16]) -> csr_array:
        """Cells of items: 1 for the group, 1 for each option; shape (n, cells)."""
        count = len(codes)
        known = codes != UNKNOWN
        place = np.hstack([np.zeros((count, 1), np.intp), self.starts[:-1] + codes])
        filled = np.hstack([np.ones((count, 1), bool), known])
        ends = np.concatenate([[0], np.cumsum(filled.sum(axis=1))])
        shape = (count, int(self.starts[-1]))
        return csr_array((np.ones(int(ends[-1])), place[filled], ends), shape=shape)
