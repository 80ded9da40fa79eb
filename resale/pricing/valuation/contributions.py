"""What each sign of an item adds to its log price, beside the others that were looked at.

A worth adds the same whatever else is seen. A tell of make adds its points over P, where P grows
with every other tell (`resale.pricing.make`), and a fault counts less beside a worse one. What age
gives back of the wear is a contribution of its own, beside the sign of age. Every contribution is
the log of a factor of four decimals, so that a price is the product of what is shown.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from resale.pricing.make.age import OldWear
from resale.pricing.make.wear import fault_shares
from resale.pricing.model.columns.terms import UNKNOWN, Array
from resale.pricing.valuation.price_tables import KindTable
from resale.pricing.valuation.read_off import rounded


@dataclass(frozen=True)
class Contributions:
    """Log contributions of items of one kind.

    Attributes
    ----------
    rules, sales : ndarray, shape (n, signals)
        The rule book's part, and what the sales changed.
    age : ndarray, shape (n, 2)
        What age gives back of the wear, likewise in two parts; 0 on what is not wanted for it.
    old : ndarray of bool, shape (n,)
        What is wanted for its age.
    make : ndarray, shape (n,)
        How far above the average of its kind each item is made (standard deviations).
    precision : ndarray, shape (n,)
        P: one over the variance of that.
    wear : ndarray, shape (n,)
        Log factor of all signs of wear together, with what age gives back.
    faults : ndarray, shape (n, signs of wear)
        Log effect of each sign of wear alone, at that age; 0 where not looked at.
    """

    rules: Array
    sales: Array
    age: Array
    old: npt.NDArray[np.bool_]
    make: Array
    precision: Array
    wear: Array
    faults: Array


def contributions_of(
    table: KindTable,
    codes: npt.NDArray[np.int16],
    wear: npt.NDArray[np.bool_],
    further: float,
    age: OldWear,
) -> Contributions:
    """Work out the contributions of items of one kind.

    Parameters
    ----------
    table : KindTable
    codes : ndarray of int16, shape (n, signals)
        In the order of the table; -1 is not looked at.
    wear : ndarray of bool, shape (signals,)
        Which signals are about wear.
    further : float
        What a further fault counts of the worse one before it.
    age : OldWear
        What a fault counts on things that are wanted for their age.

    Returns
    -------
    Contributions
    """
    picked, known = table.flat(codes), codes != UNKNOWN
    rules, sales = (padded[picked] for padded in table.padded)
    precision = np.ones(len(codes))
    tells = table.tells
    if len(tells):
        by_book = table.padded_points[0][picked] / (1 + known @ table.tell_weight[0])[:, None]
        precision = 1 + known @ table.tell_weight[1]
        by_now = table.padded_points[1][picked] / precision[:, None]
        # What is shown of the book is the book's own word; the rest is what the shop learned.
        sales[:, tells] += by_now[:, tells] - by_book[:, tells]
        rules[:, tells] += by_book[:, tells]
        rules[:, tells], sales[:, tells] = rounded(rules[:, tells]), rounded(sales[:, tells])
    faults = np.flatnonzero(wear)
    alone, given, old = (rules + sales)[:, faults], np.zeros((len(codes), 2)), age.met(codes)
    if old.any():
        given[old] = _given_back(alone[old], rules[np.ix_(old, faults)], age, further)
    share = fault_shares(alone, further)
    if np.any(share != 1):
        rules[:, faults] = rounded(rules[:, faults] * share)
        sales[:, faults] = rounded(sales[:, faults] * share)
    make = (table.padded_points[1][picked].sum(axis=1) / precision) / (table.slope or 1.0)
    worn = (rules + sales)[:, faults].sum(axis=1) + given.sum(axis=1)
    at_age = np.where(old[:, None], age.excused(alone), alone)
    return Contributions(rules, sales, given, old, make, precision, worn, at_age)


def _given_back(alone: Array, by_book: Array, age: OldWear, further: float) -> Array:
    """What age gives back of the wear of old things, by the book and by what sales changed."""
    everywhere = np.ones(len(alone), dtype=bool)
    less = age.counted(alone, everywhere, further)[1] - fault_shares(alone, further)
    return rounded(np.stack([by_book * less, (alone - by_book) * less]).sum(axis=2).T)
