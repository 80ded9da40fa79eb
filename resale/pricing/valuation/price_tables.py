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

from resale.garments.rulebook.rule_book import Kind, RuleBook
from resale.pricing.model.conformal import Scores
from resale.pricing.model.fitted import Fitted
from resale.pricing.model.rule_book_priors import LABEL, SEASON, BookCoder
from resale.pricing.model.terms import UNKNOWN, Array, Coded

FACTOR_DECIMALS = 4


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
    covariance : ndarray, shape (options + 1, options + 1)
        Of the anchor and of the options' log effects.
    gaps : ndarray, shape (signals,)
        Variance that each signal would explain if it were looked at.
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
    smearing: float
    sold: int

    def flat(self, codes: npt.NDArray[np.int16]) -> npt.NDArray[np.intp]:
        """Place of each code in the flat vectors; one past the end for not looked at."""
        return np.where(codes == UNKNOWN, self.starts[-1], self.starts[:-1] + codes)

    @cached_property
    def padded(self) -> tuple[Array, Array]:
        """Rule and sales logs with a zero at the end for what was not looked at."""
        return np.append(self.rules, 0.0), np.append(self.sales, 0.0)


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

    @property
    def extras(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Words of the two inputs that follow the signals."""
        return self.labels, self.seasons


def tables_of(book: RuleBook, fitted: Fitted) -> PriceModel:
    """Read off what a fitted model says of every option of every kind."""
    encoder = fitted.encoder
    coder = BookCoder(book, encoder)
    extras = {
        name: encoder.levels[encoder.discrete.index(name)] if name in encoder.discrete else ()
        for name in (LABEL, SEASON)
    }
    tables = {
        kind.id: _table(coder, fitted, kind, place, extras)
        for place, kind in enumerate(book.kinds.values())
    }
    return PriceModel(
        tables,
        extras[LABEL],
        extras[SEASON],
        fitted.noise,
        fitted.scores,
        fitted.sales,
        book.version,
        book.fingerprint,
    )


def _table(
    coder: BookCoder,
    fitted: Fitted,
    kind: Kind,
    place: int,
    extras: Mapping[str, tuple[str, ...]],
) -> KindTable:
    items, starts, gaps = _every_option(coder, fitted, kind, place, extras)
    columns = fitted.encoder.matrix(items)
    # The first row is an item of which nothing is known: it carries the anchor alone.
    base, options = columns[:1], columns[1:] - columns[:1]
    weights, basis = fitted.weights, np.vstack([base, options])
    return KindTable(
        kind.id,
        (*kind.by_id, LABEL, SEASON),
        starts,
        _rounded(options @ weights.prior),
        _rounded(options @ weights.learned),
        round(float(np.exp((base @ weights.prior)[0])), 2),
        float(_rounded(base @ weights.learned)[0]),
        basis @ weights.covariance @ basis.T,
        gaps,
        float(fitted.smearing[place]),
        fitted.scores.counts.get(place, 0),
    )


def _every_option(
    coder: BookCoder,
    fitted: Fitted,
    kind: Kind,
    place: int,
    extras: Mapping[str, tuple[str, ...]],
) -> tuple[Coded, npt.NDArray[np.intp], Array]:
    """One item of which nothing is known, then one a signal and option with only that known."""
    inputs = len(coder.encoder.discrete)
    rows = [np.full((1, inputs), UNKNOWN, dtype=np.int16)]
    gaps = []
    for signal in kind.signals:
        block = np.full((len(signal.options), inputs), UNKNOWN, dtype=np.int16)
        for column, codes in coder.columns_of(kind, signal):
            block[:, column] = codes
        rows.append(block)
        gaps.append(sum(fitted.gaps[place, column] for column, _ in coder.columns_of(kind, signal)))
    for name, words in extras.items():
        block = np.full((len(words), inputs), UNKNOWN, dtype=np.int16)
        if words:
            block[:, coder.encoder.discrete.index(name)] = np.arange(len(words))
        rows.append(block)
        # What nobody reads costs no width: most items lack it, and the sales know that.
        gaps.append(0.0)
    starts = np.cumsum([0, *(len(block) for block in rows[1:])])
    codes = np.vstack(rows)
    group = np.full(len(codes), place, dtype=np.intp)
    return Coded(group, codes, np.empty((len(codes), 0))), starts, np.array(gaps)


def _rounded(logs: Array) -> Array:
    """Logs of factors rounded to the decimals that are shown."""
    return np.asarray(np.log(np.round(np.exp(logs), FACTOR_DECIMALS)))
