"""A fitted model of log price, as arrays, and what it says of coded items."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from resale.pricing.model.columns.encoding import Encoder
from resale.pricing.model.columns.number_terms import Bends, Line
from resale.pricing.model.columns.terms import (
    UNKNOWN,
    Array,
    Coded,
    Departure,
    Levels,
    Slopes,
    Steps,
)
from resale.pricing.model.conformal import Scores
from resale.pricing.model.hyperparameters import Posterior


@dataclass(frozen=True)
class Weights:
    """What one fit says of the columns.

    Attributes
    ----------
    level : float
        Log price of the average row where the level is free, else 0.
    prior, learned : ndarray, shape (p,)
        What was believed of each column, and what the sales changed.
    covariance : ndarray, shape (p, p)
        Of the weights, after the sales.
    means : ndarray, shape (p,)
        Column means that the level stands for; zeros with anchors.
    noise : float
        Standard deviation of log price that the columns leave unexplained.
    scales : ndarray, shape (families,)
    """

    level: float
    prior: Array
    learned: Array
    covariance: Array
    means: Array
    noise: float
    scales: Array

    @property
    def start(self) -> Posterior:
        """Scales and noise, for another fit to begin at."""
        return Posterior(np.empty(0), np.empty(0), self.noise, np.empty(0), self.scales, 0)

    @property
    def both(self) -> Array:
        """Weights after the sales, shape (p,)."""
        return self.prior + self.learned

    def log_price(self, columns: Array) -> Array:
        """Log price (median), shape (n,)."""
        return np.asarray(self.level + (columns - self.means) @ self.both)

    def variance(self, columns: Array) -> Array:
        """Variance of log price that the doubt in the weights leaves, shape (n,)."""
        centred = columns - self.means
        return np.einsum("ij,ij->i", centred @ self.covariance, centred)


@dataclass(frozen=True)
class Fitted:
    """Weights with all that a band needs.

    Attributes
    ----------
    noise : float
        Standard deviation of log price once everything is looked at.
    gaps : ndarray, shape (groups, inputs)
        Variance that each input would explain if it were looked at; discrete inputs first.
    smearing : ndarray, shape (groups + 1,)
        Duan's factor from median to mean; last that of a group without sales.
    sales : float
        Count of sales (sum of weights) it rests on.
    """

    encoder: Encoder
    weights: Weights
    noise: float
    gaps: Array
    scores: Scores
    smearing: Array
    sales: float

    def spread(self, columns: Array, items: Coded) -> Array:
        """Expected standard deviation of log price about its estimate, shape (n,).

        Noise, doubt left in the weights, and what the inputs not looked at could still say.

        Parameters
        ----------
        columns : ndarray, shape (n, columns)
        items : Coded
            The same items as codes: what was looked at.

        Returns
        -------
        ndarray, shape (n,)
            Of log price.
        """
        doubt = self.weights.variance(columns)
        return np.sqrt(self.noise**2 + doubt + unlooked(self.gaps, items))

    def contributions(self, columns: Array, weights: Array) -> Array:
        """Shares of log price by the name they are shown under, shape (n, owners).

        Parameters
        ----------
        columns : ndarray, shape (n, columns)
        weights : ndarray, shape (columns,)
            Log price for each unit of a column.

        Returns
        -------
        ndarray, shape (n, owners)
            Log price.
        """
        return self.encoder.by_owner(columns - self.weights.means, weights)


def unlooked(gaps: Array, items: Coded) -> Array:
    """Sum of the variance that inputs not looked at would explain, shape (n,).

    Parameters
    ----------
    gaps : ndarray, shape (groups, inputs)
        Variance of log price that each input would explain.
    items : Coded

    Returns
    -------
    ndarray, shape (n,)
        Variance of log price.
    """
    vague = 0.0 if items.vague is None else items.vague
    open_numbers = np.where(np.isnan(items.numbers), 1.0, vague)
    said, found = items.codes.shape[1], np.zeros(len(items))
    for group in np.unique(items.group):
        rows = np.flatnonzero(items.group == group)
        blank = items.codes[rows] == UNKNOWN
        found[rows] = blank @ gaps[group, :said] + open_numbers[rows] @ gaps[group, said:]
    return found


def gaps_of(
    encoder: Encoder, weights: Array, bent: Callable[[int, Array], float] | None = None
) -> Array:
    """Variance that each input would explain in each group, shape (groups, inputs).

    Inputs come in the order of the codes, then the numbers. Pairs are left out: what they add
    depends on the rest of the item.

    Parameters
    ----------
    encoder : Encoder
    weights : ndarray, shape (columns,)
    bent : callable, optional
        Mean square, over the sales, of what a block of columns of numbers (its place, its
        weights) does to log price; where there is none such numbers explain nothing.

    Returns
    -------
    ndarray, shape (groups, inputs)
        Variance of log price.
    """
    groups, discrete = len(encoder.groups), len(encoder.discrete)
    gaps = np.zeros((groups, discrete + len(encoder.numeric)))
    effects: dict[tuple[int, int], tuple[Array, Array]] = {}
    spans = zip(encoder.blocks, encoder.spans, strict=True)
    for place, (block, (start, end)) in enumerate(spans):
        apart = isinstance(block.term, Departure)
        inner = block.term.inner if isinstance(block.term, Departure) else block.term
        own = [block.term.group] if isinstance(block.term, Departure) else range(groups)
        if isinstance(inner, Levels | Steps):
            for g in own:
                effect, share = level_effects(inner, weights[start:end], g)
                before = effects.get((g, inner.position), (0.0, share))[0]
                effects[g, inner.position] = (before + effect, share)
        elif isinstance(inner, Slopes):
            gaps[:, discrete + inner.position] = weights[start:end] ** 2
        elif isinstance(inner, Line | Bends) and not apart and bent is not None:
            gaps[:, discrete + inner.scale.position] += bent(place, weights[start:end])
    for (g, place), (effect, share) in effects.items():
        gaps[g, place] = share @ (effect - share @ effect) ** 2
    return gaps


def level_effects(term: Levels | Steps, weights: Array, group: int) -> tuple[Array, Array]:
    """Effect and share of each level of a discrete input in one group.

    Parameters
    ----------
    term : Levels or Steps
    weights : ndarray, shape (columns,)
    group : int

    Returns
    -------
    effects : ndarray, shape (levels,)
        Log price.
    shares : ndarray, shape (levels,)
        Summing to one.
    """
    if isinstance(term, Levels):
        return weights, term.centre[group]
    above = np.concatenate([[1.0], term.centre[group], [0.0]])
    share = -np.diff(above) if term.centre[group].any() else np.zeros(term.width + 1)
    return np.concatenate([[0.0], np.cumsum(weights)]), share
