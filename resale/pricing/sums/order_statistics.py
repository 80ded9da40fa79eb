"""Order statistics of numbers that lie in lots, exactly, by counting.

The bits of a number that is not negative, read as a whole number, have the order of the number
(IEEE 754-2019, section 5.10, total order). So a rank is found sixteen bits at a time: each lot
counts how many of its numbers go on from the bits found so far with each of the next 65,536, and
counts add up.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from resale.pricing.model.columns.terms import Array
from resale.pricing.sums.lots import Lots

BITS, STEP = 64, 16


def at_rank(sizes: Lots, rank: int) -> float:
    """Find the number of this rank.

    Parameters
    ----------
    sizes : Lots
        Of ndarrays, none of whose numbers is negative.
    rank : int
        From 0.

    Returns
    -------
    float
    """
    found, before = 0, rank
    for shift in range(BITS - STEP, -1, -STEP):
        counts = np.cumsum(sizes.total(counted, found=found, shift=shift))
        digit = int(np.searchsorted(counts, before, side="right"))
        before -= int(counts[digit - 1]) if digit else 0
        found = (found << STEP) | digit
    return float(np.array(found, dtype=np.uint64).view(np.float64))


def median(sizes: Lots) -> float:
    """Middle of numbers that are not negative: the mean of the middle two of an even count."""
    count = int(sizes.total(len))
    if count == 0:
        return float("nan")
    low = at_rank(sizes, (count - 1) // 2)
    return low if count % 2 else (low + at_rank(sizes, count // 2)) / 2


def counted(sizes: Array, found: int, shift: int) -> npt.NDArray[np.int64]:
    """Count numbers of a lot by their next bits.

    Parameters
    ----------
    sizes : ndarray, shape (n,)
    found : int
        Bits above that a number has to have to be counted.
    shift : int
        How many bits stand below the next ones.

    Returns
    -------
    ndarray of int, shape (65536,)
    """
    # Adding zero takes the sign off a negative zero.
    bits = (np.asarray(sizes, dtype=np.float64) + 0.0).view(np.uint64)
    if shift + STEP < BITS:
        bits = bits[(bits >> np.uint64(shift + STEP)) == found]
    digits = (bits >> np.uint64(shift)) & np.uint64(2**STEP - 1)
    return np.bincount(digits.astype(np.intp), minlength=2**STEP)
