"""A model as a shop uses it: for each kind, one factor for every option of every signal.

Factors are rounded to four decimals once, here. Whatever price is shown later is the product of
exactly those factors, so that anyone with a calculator comes to the same cent.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from resale.garments.rulebook.rule_book import Kind
from resale.pricing.make.tells import tells_of
from resale.pricing.model.columns.terms import UNKNOWN, Array, Coded, Since
from resale.pricing.model.conformal import Scores
from resale.pricing.model.fitted import Fitted
from resale.pricing.model.rule_book_priors import LABEL, SEASON, BookCoder, priors_of
from resale.pricing.valuation.without_sales import without_sales

FACTOR_DECIMALS = 4
QUARTERS = 4


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


def tables_of(coder: BookCoder, fitted: Fitted) -> PriceModel:
    """Read off what a fitted model says of every option of every kind.

    Parameters
    ----------
    coder : BookCoder
        That coded the sales of the fit.
    fitted : Fitted

    Returns
    -------
    PriceModel
    """
    encoder, book = fitted.encoder, coder.book
    drift = float(rounded(_since_a_year(fitted)))
    extras = {
        name: encoder.levels[encoder.discrete.index(name)] if name in encoder.discrete else ()
        for name in (LABEL, SEASON)
    }
    opinions = priors_of(book, coder.loadings)
    tables = {}
    for kind in book.kinds.values():
        sold = kind.id in encoder.groups
        own = (coder, fitted) if sold else without_sales(coder, fitted, kind, opinions)
        tables[kind.id] = _table(*own, kind, extras, drift)
    return PriceModel(
        tables,
        extras[LABEL],
        extras[SEASON],
        fitted.noise,
        _by_book(fitted.scores, encoder.groups, tuple(book.kinds)),
        fitted.sales,
        book.version,
        book.fingerprint,
        drift,
    )


def _by_book(scores: Scores, groups: Sequence[str], kinds: Sequence[str]) -> Scores:
    """Scores by place of the kind in the book, not among the kinds of the fit."""
    place = [kinds.index(group) for group in groups]
    counts = dict.fromkeys(range(len(kinds)), 0)
    return Scores(
        scores.pooled,
        {place[group]: own for group, own in scores.by_group.items()},
        counts | {place[group]: count for group, count in scores.counts.items()},
    )


def _since_a_year(fitted: Fitted) -> Array:
    """Sum of the last four steps from quarter to quarter."""
    for block, (first, last) in zip(fitted.encoder.blocks, fitted.encoder.spans, strict=True):
        if isinstance(block.term, Since):
            return np.asarray(fitted.weights.both[max(first, last - QUARTERS) : last].sum())
    return np.zeros(())


def _table(
    coder: BookCoder,
    fitted: Fitted,
    kind: Kind,
    extras: Mapping[str, tuple[str, ...]],
    drift: float,
) -> KindTable:
    place = fitted.encoder.groups.index(kind.id)
    items, starts, gaps = _every_option(coder, fitted, kind, place, extras)
    columns = fitted.encoder.matrix(items)
    # The first row is an item of which nothing is known: it carries the anchor alone.
    base, options = columns[:1], columns[1:-1] - columns[:1]
    make = columns[-1:] - columns[:1]
    weights, basis = fitted.weights, np.vstack([base, options, make])
    slope = float((make @ weights.both)[0])
    return KindTable(
        kind.id,
        (*kind.by_id, LABEL, SEASON),
        starts,
        rounded(options @ weights.prior),
        rounded(options @ weights.learned),
        round(float(np.exp((base @ weights.prior)[0])), 2),
        float(rounded(base @ weights.learned - drift)[0]),
        basis @ weights.covariance @ basis.T,
        gaps,
        slope,
        *_tells(coder, kind, slope, starts),
        float(fitted.smearing[place]),
        fitted.scores.counts.get(place, 0),
    )


def _tells(
    coder: BookCoder, kind: Kind, slope: float, starts: npt.NDArray[np.intp]
) -> tuple[Array, Array]:
    """Points and weights of the kind's tells, by the book and by now, to the decimals shown."""
    points, weight = np.zeros((2, starts[-1])), np.zeros((2, len(starts) - 1))
    for row, tells in enumerate((tells_of(kind), tells_of(kind, coder.loadings.get(kind.id)))):
        part = slope / tells.g if row and tells.g else 1.0
        for place, signal in enumerate(tells.signals):
            at = list(kind.by_id).index(signal.id)
            points[row, starts[at] : starts[at + 1]] = part * tells.points(place)
            weight[row, at] = tells.weight[place]
    return (
        np.asarray(np.round(points, FACTOR_DECIMALS), dtype=np.float64),
        np.asarray(np.round(weight, FACTOR_DECIMALS), dtype=np.float64),
    )


def _every_option(
    coder: BookCoder,
    fitted: Fitted,
    kind: Kind,
    place: int,
    extras: Mapping[str, tuple[str, ...]],
) -> tuple[Coded, npt.NDArray[np.intp], Array]:
    """One item of which nothing is known, one an option with only that known, one of make 1.

    Tells have make 0 here: what is read off is what an option does besides.
    """
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
    rows.append(rows[0])
    codes = np.vstack(rows)
    numbers = np.zeros((len(codes), len(coder.encoder.numeric)))
    numbers[-1] = 1.0
    group = np.full(len(codes), place, dtype=np.intp)
    return Coded(group, codes, numbers), starts, np.array(gaps)


def rounded(logs: Array) -> Array:
    """Logs of factors rounded to the decimals that are shown."""
    return np.asarray(np.log(np.round(np.exp(logs), FACTOR_DECIMALS)))
