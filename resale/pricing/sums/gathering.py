"""What a fit needs of the sales, as sums: so lots of them add up."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from resale.pricing.model.columns.design_matrix import Design, design_of
from resale.pricing.model.columns.encoding import Encoder
from resale.pricing.model.columns.terms import Array
from resale.pricing.model.hyperparameters import Sums
from resale.pricing.model.recipe import Recipe, Sales
from resale.pricing.sums.lots import Here, Lots


@dataclass(frozen=True)
class Lot:
    """Some sales, laid out as columns once."""

    encoder: Encoder
    sales: Sales

    def __len__(self) -> int:
        return len(self.sales.target)

    @cached_property
    def design(self) -> Design:
        """Their columns."""
        return design_of(self.encoder, self.sales.items)


@dataclass(frozen=True)
class Trust:
    """How much each sale counts besides its weight.

    Attributes
    ----------
    of : Lots
        Of ndarrays, one number a sale.
    mean : float
        Their mean, by which they are divided.
    """

    of: Lots
    mean: float


@dataclass(frozen=True)
class Gathered:
    """Weighted sums over all sales of columns and of what the opinions leave of log prices.

    Attributes
    ----------
    gram : ndarray, shape (p, p)
    moment, first : ndarray, shape (p,)
        Of the columns with what is left, and of the columns alone.
    square, left, count : float
        Of the squares of what is left, of what is left, and of the weights.
    sales : int
        How many, whatever they weigh.
    """

    gram: Array
    moment: Array
    first: Array
    square: float
    left: float
    count: float
    sales: int

    def scaled(self, by: float) -> Gathered:
        """The same where every weight is multiplied by a number."""
        return Gathered(
            self.gram * by,
            self.moment * by,
            self.first * by,
            self.square * by,
            self.left * by,
            self.count * by,
            self.sales,
        )


def in_one_lot(encoder: Encoder, sales: Sales) -> Lots:
    """Lay sales in memory out as a single lot.

    Parameters
    ----------
    encoder : Encoder
    sales : Sales

    Returns
    -------
    Lots
        Of `Lot`.
    """
    return Here([Lot(encoder, sales)])


def gather(lots: Lots, trust: Trust | None = None) -> Gathered:
    """Add up all that the weights of a fit rest on.

    Parameters
    ----------
    lots : Lots
        Of `Lot`.
    trust : Trust, optional
        How much each sale counts besides its weight.

    Returns
    -------
    Gathered
    """
    if trust is None:
        return Gathered(*lots.total(of_lot))
    return Gathered(*lots.total(of_lot, trust.of)).scaled(1 / trust.mean)


def of_lot(lot: Lot, trust: Array | None = None) -> tuple[Any, ...]:
    """Sums over one lot, in the order of `Gathered`.

    Parameters
    ----------
    lot : Lot
    trust : ndarray, shape (n,), optional
        By which the weight of each sale is multiplied.
    """
    sales = lot.sales
    weight = sales.weight if trust is None else sales.weight * trust
    left = sales.target - lot.design.times(lot.encoder.prior)
    cross = lot.design.cross(weight, left)
    square, level = float(weight @ left**2), float(weight @ left)
    count = float(weight.sum())
    return cross.gram, cross.moment, cross.first, square, level, count, len(sales.target)


def scaled_sums(recipe: Recipe, of: Gathered) -> tuple[Sums, Array, float]:
    """Sums over columns scaled by their doubts, about a free level where there is one.

    Parameters
    ----------
    recipe : Recipe
    of : Gathered

    Returns
    -------
    sums : Sums
    means : ndarray, shape (p,)
        Of the columns; zeros where the level is not free.
    level : float
        Mean of what the opinions leave; 0 where it is not free.
    """
    doubt = recipe.encoder.doubt
    gram = of.gram * doubt
    gram *= doubt[:, None]
    moment, first = of.moment * doubt, of.first * doubt
    if not recipe.free_level:
        encoder = recipe.encoder
        ways = (encoder.apart, encoder.exclusive) if recipe.by_kind else ()
        sums = Sums(gram, moment, max(of.square, 1e-12), of.count, ways)
        return sums, np.zeros(len(moment)), 0.0
    level = of.left / of.count
    gram -= np.outer(first, first) / of.count
    centred = Sums(
        gram,
        moment - first * level,
        max(of.square - of.count * level**2, 1e-12),
        of.count,
    )
    return centred, of.first / of.count, level
