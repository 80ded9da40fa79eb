"""What is said of n items, as arrays, and how it is shared out in money."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import numpy.typing as npt

from resale.pricing.model.columns.terms import Array
from resale.pricing.valuation.contributions import Contributions
from resale.pricing.valuation.lmdi import Minor, money_shares, whole_units
from resale.pricing.valuation.tiers import (
    Index,
)


@dataclass(frozen=True)
class Valuations:
    """What is said of n items.

    Signals stand in the order of the book; label, season and what age gives back of the wear in the
    last three columns.

    Attributes
    ----------
    anchor : ndarray, shape (n,)
        What the book says an average item of the kind brings.
    level : ndarray, shape (n,)
        Log factor by which the sales moved that anchor.
    rules, sales : ndarray, shape (n, signals + 3)
        Log contributions: the rule book's part, and what the sales changed.
    estimate, low, high : ndarray, shape (n,)
        Median sale price and the band, rounded to the currency's decimals.
    mean : ndarray, shape (n,)
        Mean sale price (for sums of money).
    spread : ndarray, shape (n,)
        Expected standard deviation of log price.
    standing : ndarray, shape (n,)
        Log factor over the average of the kind.
    tier, route : ndarray of int, shape (n,)
        Place among the book's tiers and in `ROUTES`.
    cap, gate_route : ndarray of int, shape (n,)
        Best tier and mildest route that the gates allow.
    chances : ndarray, shape (n, tiers)
    ticket : ndarray, shape (n,)
    looked : ndarray of int, shape (n,)
        How many signals were looked at.
    make, precision : ndarray, shape (n,)
        How far above the average of its kind the item is made (standard deviations), and one over
        the variance of that.
    found : mapping of str to Contributions
        By kind, of all its items in their order, as far as they were kept.
    """

    kinds: npt.NDArray[np.intp]
    anchor: Array
    level: Array
    rules: Array
    sales: Array
    estimate: Array
    low: Array
    high: Array
    mean: Array
    spread: Array
    standing: Array
    tier: Index
    route: Index
    cap: Index
    gate_route: Index
    chances: Array
    ticket: Array
    looked: Index
    make: Array
    precision: Array
    decimals: int
    found: Mapping[str, Contributions] = field(default_factory=dict)

    @cached_property
    def in_minor_units(self) -> tuple[Minor, Minor, Minor]:
        """Money shares in minor units: of the level (n,), of rules and of sales (n, signals + 3).

        Together they are exactly estimate less anchor.
        """
        unit = 10**self.decimals
        logs = np.hstack([self.level[:, None], self.rules, self.sales])
        total = np.rint(self.estimate * unit) - np.rint(self.anchor * unit)
        whole = np.zeros(logs.shape, dtype=np.int64)
        # A kind uses a fifth of the columns; sorting remainders over the rest would be idle work.
        for place in np.unique(self.kinds):
            rows = np.flatnonzero(self.kinds == place)
            used = np.flatnonzero(logs[rows].any(axis=0))
            block = np.ix_(rows, used)
            whole[block] = _shared_out(logs[block], self.anchor[rows] * unit, total[rows])
        count = self.rules.shape[1]
        return whole[:, 0], whole[:, 1 : count + 1], whole[:, count + 1 :]


def _shared_out(logs: Array, anchor: Array, total: Array) -> Minor:
    """Whole minor units of each contribution, rows summing to the total."""
    shares = money_shares(anchor, logs)
    # The estimate was rounded, so the exact shares miss the total by less than a unit; spread by
    # size, that leaves the largest remainder less than one unit a share to hand out.
    off = total - shares.sum(axis=1)
    size = np.abs(logs)
    weight = size / np.maximum(size.sum(axis=1, keepdims=True), 1e-300)
    return whole_units(shares + weight * off[:, None], total.astype(np.int64))
