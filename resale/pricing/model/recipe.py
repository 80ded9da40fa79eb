"""What is fitted, and to what: sales as arrays, and what is believed before them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from resale.pricing.model.columns.encoding import Encoder
from resale.pricing.model.columns.terms import Array, Coded
from resale.pricing.model.monotone_rows import Ladder, climbing_rows, ladders_of
from resale.pricing.model.priors import Direction, Priors


@dataclass(frozen=True)
class Sales:
    """Past sales as the fit takes them.

    Attributes
    ----------
    target : ndarray, shape (n,)
        Log prices.
    weight : ndarray, shape (n,)
        Weight of each sale.
    """

    items: Coded
    target: Array
    weight: Array

    def __add__(self, other: Sales) -> Sales:
        """Both, one after the other."""
        return Sales(
            self.items + other.items,
            np.concatenate([self.target, other.target]),
            np.concatenate([self.weight, other.weight]),
        )

    def rows(self, chosen: npt.NDArray[np.intp]) -> Sales:
        """Return some of the sales."""
        return Sales(self.items.rows(chosen), self.target[chosen], self.weight[chosen])


@dataclass(frozen=True)
class Recipe:
    """How to fit.

    Attributes
    ----------
    free_level : bool
        Whether the level is free (an unpenalised intercept) rather than held by anchors.
    climb : ndarray, shape (q, p)
        Rows that must be non-negative at the weights.
    noise : float or None
        Opinion on the noise (standard deviation of log price).
    shrinkage : float or None
        Fixed ridge penalty on doubt-scaled columns instead of the evidence's.
    robust : bool
        Whether, with many sales, those that lie far off count less.
    in_logs : bool
        Whether targets are log prices, so that medians and means of money differ.
    by_kind : bool
        Whether columns that never meet are solved kind by kind; the answer is the same.
    """

    encoder: Encoder
    free_level: bool
    climb: Array
    noise: float | None = None
    shrinkage: float | None = None
    robust: bool = True
    in_logs: bool = True
    most_rounds: int = 300
    tolerance: float = 1e-3
    by_kind: bool = True


def recipe_for(
    encoder: Encoder,
    priors: Priors | None,
    order: Mapping[str, Direction] | None = None,
    **how: Any,
) -> Recipe:
    """Return the recipe that follows opinions, or the orders given where there are none.

    Parameters
    ----------
    encoder : Encoder
        The columns, with what is believed of them.
    priors : Priors or None
    order : dict of {str : str}, optional
        Inputs whose order holds, where there are no opinions that say it.
    **how
        Further fields of `Recipe`.
    """
    ladders = ladders_for(encoder, priors, order)
    lifted = bool(priors and priors.lift)
    return Recipe(
        encoder,
        free_level=priors is None,
        climb=climbing_rows(encoder, ladders, by_make=lifted),
        noise=priors.noise if priors else None,
        **how,
    )


def ladders_for(
    encoder: Encoder, priors: Priors | None, order: Mapping[str, Direction] | None = None
) -> list[Ladder]:
    """Return the ladders that keep their order, by opinion or as given where there is none.

    Parameters
    ----------
    encoder : Encoder
    priors : Priors or None
    order : dict of {str : str}, optional
        Inputs whose order holds, where there are no opinions that say it.

    Returns
    -------
    list of Ladder
    """
    held = priors.order if priors else (order or {})
    falling = frozenset(name for name, way in held.items() if way == "falling")
    lift, freed = (priors.lift, priors.freed) if priors else (None, frozenset())
    return ladders_of(encoder, falling, frozenset(held), lift, freed)
