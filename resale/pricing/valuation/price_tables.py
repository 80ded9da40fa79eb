"""A model as a shop uses it: for each kind, one factor for every option of every signal.

Factors are rounded to four decimals once, here. Whatever price is shown later is the product of
exactly those factors, so that anyone with a calculator comes to the same cent.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from resale.pricing.model.columns.terms import UNKNOWN, Array
from resale.pricing.model.conformal import Scores


@dataclass(frozen=True)
class KindTable:
    """All that prices an item of one kind.

    Attributes
    ----------
    signals : tuple of str
        Signal ids of the kind in the order of the hand; then `label` and `season`.
    starts : ndarray of int, shape (signals + 1,)
        Where each signal's options begin in the flat vectors.
    rules, sales : ndarray, shape (options,)
        Log of the rounded factor of each option: the book's part, and what the sales changed.
    anchor : float
        What the book says an average item brings (money).
    level : float
        Log of the rounded factor by which the sales moved that anchor.
    covariance : ndarray, shape (options + 2, options + 2)
        Of the anchor, of the options' own log effects, and of the slope on make.
    gaps : ndarray, shape (signals,)
        Variance that each signal would explain by itself if it were looked at.
    slope : float
        Log price that one standard deviation of make moves, by now; 0 where nothing is a tell.
    points : ndarray, shape (2, options)
        Of tells: log contribution times P, by the book and by now; 0 for worths.
    tell_weight : ndarray, shape (2, signals)
        What each tell that was looked at adds to P, by the book and by now; 0 for worths.
    smearing : float
        From median price to mean price.
    sold : int
        Past sales of this kind that the model rests on.
    """

    kind: str
    signals: tuple[str, ...]
    starts: npt.NDArray[np.intp]
    rules: Array
    sales: Array
    anchor: float
    level: float
    covariance: Array
    gaps: Array
    slope: float
    points: Array
    tell_weight: Array
    smearing: float
    sold: int

    def flat(self, codes: npt.NDArray[np.int16]) -> npt.NDArray[np.intp]:
        """Place of each code in the flat vectors; one past the end for not looked at."""
        return np.where(codes == UNKNOWN, self.starts[-1], self.starts[:-1] + codes)

    @cached_property
    def padded(self) -> tuple[Array, Array]:
        """Rule and sales logs with a zero at the end for what was not looked at."""
        return np.append(self.rules, 0.0), np.append(self.sales, 0.0)

    @cached_property
    def padded_points(self) -> tuple[Array, Array]:
        """Points by the book and by now, with a zero at the end for what was not looked at."""
        return np.append(self.points[0], 0.0), np.append(self.points[1], 0.0)

    @cached_property
    def tells(self) -> npt.NDArray[np.intp]:
        """Places of the signals that speak of make."""
        return np.flatnonzero(self.tell_weight.any(axis=0))

    @cached_property
    def signal_of(self) -> npt.NDArray[np.intp]:
        """Signal of each option, shape (options,)."""
        return np.repeat(np.arange(len(self.signals)), np.diff(self.starts))

    @cached_property
    def alone(self) -> tuple[Array, Array]:
        """Log effect of each option where it is all one knows: by the book, and what sales changed.

        Shape (options,) each; for a worth these are `rules` and `sales`.
        """
        beside = 1 + self.tell_weight[:, self.signal_of]
        by_book, by_now = self.points / beside
        return self.rules + by_book, self.sales + by_now - by_book

    @cached_property
    def says(self) -> Array:
        """Variance that each signal explains where it is all one knows, shape (signals,)."""
        weight = self.tell_weight[1]
        return np.asarray(self.gaps + self.slope**2 * weight / (1 + weight))


@dataclass(frozen=True)
class PriceModel:
    """The tables of all kinds with what the bands need.

    Attributes
    ----------
    tables : mapping of kind id to KindTable
    labels : tuple of str
        Labels that the sales taught something about.
    seasons : tuple of str
        Warmth classes and quarters that they taught something about.
    noise : float
        Standard deviation of log price once everything is looked at.
    scores : Scores
        Left-out residuals, by place of the kind in the book.
    sales : float
        Sales that the model rests on; 0 is rules alone.
    drift : float
        Log of the rounded factor by which all prices moved in the last year; 0 where unknown.
    book_version, book_fingerprint : str
        The rule book that it belongs to.
    """

    tables: Mapping[str, KindTable]
    labels: tuple[str, ...]
    seasons: tuple[str, ...]
    noise: float
    scores: Scores
    sales: float
    book_version: str
    book_fingerprint: str
    drift: float = 0.0

    @property
    def extras(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Words of the two inputs that follow the signals."""
        return self.labels, self.seasons
