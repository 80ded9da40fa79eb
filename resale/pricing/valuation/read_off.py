"""Read off what a fitted model says of every option of every kind, as tables a shop uses."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from resale.garments.rulebook.rule_book import Kind
from resale.pricing.make.tells import tells_of
from resale.pricing.model.columns.encoding import Encoder
from resale.pricing.model.columns.prior_columns import LABEL_HERE, SHOP
from resale.pricing.model.columns.terms import UNKNOWN, Array, Coded, Codes, Since
from resale.pricing.model.conformal import Scores
from resale.pricing.model.fitted import Fitted
from resale.pricing.model.rule_book_priors import LABEL, SEASON, BookCoder, priors_of
from resale.pricing.valuation.by_kind import ByKind
from resale.pricing.valuation.price_tables import KindTable, PriceModel
from resale.pricing.valuation.without_sales import without_sales

FACTOR_DECIMALS = 4
QUARTERS = 4


@dataclass(frozen=True)
class InShop:
    """One shop of a chain: what is read off for it.

    Attributes
    ----------
    shop : str
        As the fit calls it.
    labels : mapping of label name to str
        The fit's word for each label that has a column of its own there.
    """

    shop: str
    labels: Mapping[str, str]


def tables_of(coder: BookCoder, fitted: Fitted, of: InShop | None = None) -> PriceModel:
    """Read off what a fitted model says of every option of every kind.

    Parameters
    ----------
    coder : BookCoder
        That coded the sales of the fit.
    fitted : Fitted
    of : InShop, optional
        The shop that it is for, where the fit was to several: its level is part of each anchor,
        and what a label does there part of the label.

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

    def lay_out(kind: str) -> KindTable:
        known = (coder, fitted)
        if kind not in encoder.groups:
            known = without_sales(coder, fitted, book.kinds[kind], opinions)
        return _table(*known, book.kinds[kind], extras, drift, of)

    tables = ByKind(book.kinds, lay_out)
    for kind in encoder.groups:
        tables[kind]
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
    of: InShop | None,
) -> KindTable:
    place = fitted.encoder.groups.index(kind.id)
    items, starts, gaps = _every_option(coder, fitted, kind, place, extras)
    if of is not None:
        _in_shop(items.codes, coder.encoder, of, int(starts[-3]), extras[LABEL])
    columns = fitted.encoder.matrix(items)
    # The first row is an item of which nothing is known: it carries the anchor alone.
    base, options = columns[:1], columns[1:-1] - columns[:1]
    make = columns[-1:] - columns[:1]
    weights, basis = fitted.weights, np.vstack([base, options, make])
    slope = float((make @ weights.both)[0])
    used = np.flatnonzero(basis.any(axis=0))
    return KindTable(
        kind.id,
        (*kind.by_id, LABEL, SEASON),
        starts,
        rounded(options @ weights.prior),
        rounded(options @ weights.learned),
        round(float(np.exp((base @ weights.prior)[0])), 2),
        float(rounded(base @ weights.learned - drift)[0]),
        basis[:, used] @ weights.covariance[np.ix_(used, used)] @ basis[:, used].T,
        gaps,
        slope,
        *_tells(coder, kind, slope, starts),
        float(fitted.smearing[place]),
        fitted.scores.counts.get(place, 0),
    )


def _in_shop(
    codes: Codes, encoder: Encoder, of: InShop, labels_at: int, labels: Sequence[str]
) -> None:
    """Say of every row that it is in a shop, and of each label what it does there."""
    place = {name: at for at, name in enumerate(encoder.discrete)}
    if SHOP in place:
        codes[:, place[SHOP]] = encoder.levels[place[SHOP]].index(of.shop)
    if LABEL_HERE in place:
        words = {word: code for code, word in enumerate(encoder.levels[place[LABEL_HERE]])}
        own = [words.get(of.labels.get(name, ""), UNKNOWN) for name in labels]
        # The first row is that of which nothing is known.
        codes[1 + labels_at : 1 + labels_at + len(own), place[LABEL_HERE]] = own


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
