"""Krippendorff's alpha: agreement of any number of sorters who need not all have seen each item."""

from __future__ import annotations

from typing import Literal

import numpy as np
import numpy.typing as npt

from resale.training.agreement.kappa import COVERAGE, Agreement, Array

Level = Literal["nominal", "ordinal", "interval", "ratio"]
DRAWS = 1000


def krippendorff_alpha(
    ratings: npt.ArrayLike,
    *,
    random: np.random.Generator,
    level: Level = "nominal",
    distances: Array | None = None,
    draws: int = DRAWS,
    coverage: float = COVERAGE,
) -> Agreement:
    """Krippendorff's alpha with a seeded interval.

    ``alpha = 1 - Do / De``: disagreement seen within items over disagreement expected if the
    answers had been dealt out at random.

    Parameters
    ----------
    ratings : array-like, shape (sorters, items)
        Answers as numbers; nan where a sorter did not look. An item with one answer drops out.
    random : Generator
        Draws items again and again for the interval.
    level : 'nominal', 'ordinal', 'interval' or 'ratio'
        How far apart two answers are: alike or not; by how many answers lie between; by the
        difference; by the difference against the sum.
    distances : ndarray, shape (options, options), optional
        Squared distances between answers, which then must be whole numbers from 0; in place of
        `level`.
    draws : int

    Returns
    -------
    Agreement
        `observed` and `expected` are 1 - Do and 1 - De where those are shares (nominal); for the
        other levels disagreement has a unit of its own, and they are scaled by its largest value.

    Notes
    -----
    The interval redraws items, not answers, since the answers to one item hang together (Zapf and
    others 2016, BMC Medical Research Methodology 16:93, from memory). It is too narrow below
    about twenty items.

    References
    ----------
    Krippendorff 2011, Computing Krippendorff's Alpha-Reliability.

    Examples
    --------
    >>> seen = [[0, 1, 2, float("nan")], [0, 1, 1, 3]]
    >>> alpha = krippendorff_alpha(seen, random=np.random.default_rng(0), draws=50)
    >>> round(alpha.value, 4), alpha.items
    (0.5455, 3)
    """
    counts, values = _counts(np.asarray(ratings, dtype=float), distances)
    nan = float("nan")
    if len(counts) == 0:
        return Agreement(nan, nan, nan, nan, nan, nan, 0, coverage)
    together = _coincidences(counts)
    seen = counts.sum(axis=0)
    value, within, between = _alpha(together.sum(axis=0), seen, values, level, distances)
    if not np.isfinite(value):
        return Agreement(nan, nan, nan, nan, nan, nan, len(counts), coverage)
    weights = random.multinomial(len(counts), np.full(len(counts), 1 / len(counts)), size=draws)
    again = np.array(
        [
            _alpha(np.tensordot(w, together, 1), w @ counts, values, level, distances)[0]
            for w in weights
        ]
    )
    again = again[np.isfinite(again)]
    low, high = (
        np.quantile(again, [(1 - coverage) / 2, (1 + coverage) / 2]) if len(again) else (nan, nan)
    )
    largest = _distances(seen, values, level, distances).max()
    return Agreement(
        value,
        float(low),
        float(high),
        float(again.std()) if len(again) else nan,
        1 - within / largest,
        1 - between / largest,
        len(counts),
        coverage,
    )


def _counts(ratings: Array, distances: Array | None) -> tuple[Array, Array]:
    """How often each value stands at each item, items with one answer left out."""
    if ratings.ndim != 2:
        raise ValueError("ratings must have one row a sorter and one column an item")
    known = np.isfinite(ratings)
    values = np.unique(ratings[known])
    if distances is not None:
        values = np.arange(len(distances), dtype=float)
    counts = (
        np.stack([(ratings == value).sum(axis=0) for value in values], axis=1, dtype=float)
        if len(values)
        else np.zeros((ratings.shape[1], 0))
    )
    return counts[counts.sum(axis=1) >= 2], values


def _coincidences(counts: Array) -> Array:
    """Pairs of values within each item, each item weighing as many as it has answers."""
    pairs = counts[:, :, None] * counts[:, None, :]
    index = np.arange(counts.shape[1])
    pairs[:, index, index] -= counts
    return np.asarray(pairs / (counts.sum(axis=1) - 1)[:, None, None])


def _alpha(
    together: Array, seen: Array, values: Array, level: Level, distances: Array | None
) -> tuple[float, float, float]:
    """Alpha, disagreement seen, disagreement expected."""
    total = seen.sum()
    apart = _distances(seen, values, level, distances)
    within = float((together * apart).sum() / total)
    between = float(seen @ apart @ seen / (total * (total - 1)))
    if between <= 0:
        return float("nan"), within, between
    return 1 - within / between, within, between


def _distances(seen: Array, values: Array, level: Level, distances: Array | None) -> Array:
    """Squared distance of each pair of values."""
    if distances is not None:
        return distances
    one, other = values[:, None], values[None, :]
    if level == "nominal":
        return np.asarray(one != other, dtype=float)
    if level == "interval":
        return np.asarray((one - other) ** 2)
    if level == "ratio":
        total = one + other
        return np.asarray(((one - other) / np.where(total == 0, 1.0, total)) ** 2)
    # Ordinal: all answers from one value to the other, the two ends counted by half.
    upto = np.cumsum(seen)
    low = np.minimum.outer(np.arange(len(seen)), np.arange(len(seen)))
    high = np.maximum.outer(np.arange(len(seen)), np.arange(len(seen)))
    between = upto[high] - upto[low] + seen[low]
    return np.asarray((between - (seen[low] + seen[high]) / 2) ** 2)
