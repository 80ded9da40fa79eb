"""How much an old sale still says: its weight halves with every half-life that has passed.

A weight says how much a sale counts against another, not how many sales it stands for: a thousand
sales of weight one half are still worth a thousand. `as_counts` brings the weights to the number
of equal sales that would say as much.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from resale.config.prices import HALF_LIFE_DAYS
from resale.errors import ReadingError
from resale.pricing.model.columns.terms import Array

Days = npt.NDArray[np.datetime64]


def recency_weights(
    sold_on: Days, today: np.datetime64, half_life: float = HALF_LIFE_DAYS
) -> Array:
    """Weight of each sale: ``0.5 ** (age / half_life)``.

    Parameters
    ----------
    sold_on : ndarray of datetime64, shape (n,)
        Day of each sale.
    today : datetime64
        The day from which ages count; a sale dated later has age 0.
    half_life : float, default 365
        Days after which a sale counts half; above 0. Infinity lets all count alike.

    Returns
    -------
    ndarray, shape (n,)
        Above 0, at most 1.

    Raises
    ------
    ReadingError
        For a half-life that is not above 0, or a sale without a day.

    Examples
    --------
    >>> days = np.array(["2026-06-30", "2025-06-30"], dtype="datetime64[D]")
    >>> recency_weights(days, np.datetime64("2026-06-30"))
    array([1. , 0.5])
    """
    if not half_life > 0:
        raise ReadingError(
            f"the half-life is {half_life} days", remedy="use a number of days above 0"
        )
    days = np.asarray(sold_on).astype("datetime64[D]")
    if np.isnat(days).any():
        row = int(np.argmax(np.isnat(days)))
        raise ReadingError(
            "the day of sale is missing",
            where=f"sale {row + 1}",
            remedy="give it, or leave the sale out",
        )
    age = np.maximum((today.astype("datetime64[D]") - days).astype(float), 0.0)
    # A sale so old that its weight would round to nothing must not become no sale at all.
    return np.asarray(np.maximum(0.5 ** (age / half_life), np.finfo(float).tiny))


def kish_count(weight: Array) -> float:
    """How many equally weighted sales say as much: ``(sum w)**2 / sum w**2``; 0 for none.

    References
    ----------
    Kish 1965, Survey Sampling, ch. 11.7 (cited from memory).

    Examples
    --------
    >>> kish_count(np.array([1.0, 1.0, 0.5, 0.5]))
    3.6
    """
    square = float(weight @ weight)
    return float(weight.sum()) ** 2 / square if square else 0.0


def as_counts(weight: Array) -> Array:
    """Weights that sum to Kish's number; shape and proportions of `weight`."""
    total = float(weight.sum())
    return np.asarray(weight * (kish_count(weight) / total)) if total else weight
