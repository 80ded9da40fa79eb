"""What the sales changed in each rule, each label and each season, and what nobody looked at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from resale.garments.rulebook.readings import Readings, codes_that_ask
from resale.garments.rulebook.rule_book import Kind, RuleBook
from resale.garments.rulebook.signals import Signal
from resale.pricing.model.columns.terms import UNKNOWN, Array
from resale.pricing.model.learn import rules_alone
from resale.pricing.valuation.price_tables import KindTable, PriceModel
from resale.pricing.valuation.tiers import Index


@dataclass(frozen=True)
class RuleShift:
    """One option of one signal in one kind, before and after the sales.

    Attributes
    ----------
    book, learned : float
        Factor on the price against an item of which nothing is known.
    doubt_before, doubt_after : float
        Standard deviation of the log factor.
    sales : int
        Past sales of the kind with this option.
    """

    kind: str
    signal: str
    option: str
    name: str
    book: float
    learned: float
    doubt_before: float
    doubt_after: float
    sales: int

    @property
    def moved(self) -> float:
        """Log factor by which the sales moved the rule."""
        return float(np.log(self.learned / self.book))


@dataclass(frozen=True)
class WordShift:
    """What the sales taught about a label or a season: the book says nothing of either.

    Attributes
    ----------
    learned : float
        Factor on the price.
    doubt : float
        Standard deviation of its log.
    """

    word: str
    learned: float
    doubt: float
    sales: int


@dataclass(frozen=True)
class Looked:
    """How often a signal was looked at.

    Attributes
    ----------
    sales : int
        Past sales of the kind to which the signal applied, as far as is known.
    share : float
        Share of them in which it was looked at.
    says : float
        Standard deviation of log price that looking would explain.
    """

    kind: str
    signal: str
    name: str
    sales: int
    share: float
    says: float


def rule_shifts(book: RuleBook, model: PriceModel, readings: Readings) -> tuple[RuleShift, ...]:
    """Every option of every kind, in order of the book.

    Parameters
    ----------
    readings : Readings
        The past sales that the model rests on.
    """
    rules = rules_alone(book)
    shifts: list[RuleShift] = []
    for place, kind in enumerate(book.kinds.values()):
        after = model.tables[kind.id]
        count = _sales_of_options(book, kind, place, readings)
        doubts = (_doubts(rules.tables[kind.id])[: len(count)], _doubts(after)[: len(count)])
        by_book, besides = after.alone
        factors = (np.exp(by_book), np.exp(by_book + besides))
        columns = zip(*(values.tolist() for values in (*factors, *doubts, count)), strict=False)
        options = [(signal, option) for signal in kind.signals for option in signal.options]
        shifts += [
            RuleShift(kind.id, signal.id, option.id, f"{signal.name}: {option.name}", *values)
            for (signal, option), values in zip(options, columns, strict=True)
        ]
    return tuple(shifts)


def _doubts(table: KindTable) -> Array:
    """Standard deviation of each option's log factor; those of anchor and make left out."""
    return np.asarray(np.sqrt(np.diag(table.covariance)[1:-1]))


def _sales_of_options(book: RuleBook, kind: Kind, place: int, readings: Readings) -> Index:
    """Past sales with each option of each signal of the kind, in one row."""
    rows = readings.kinds == place
    counts = [
        np.bincount(_seen(book, signal, readings, rows), minlength=len(signal.options))
        for signal in kind.signals
    ]
    return np.concatenate(counts)


def _codes(
    book: RuleBook, signal_id: str, readings: Readings, rows: npt.NDArray[np.bool_]
) -> npt.NDArray[np.int16]:
    return readings.codes[rows, book.signal_ids.index(signal_id)]


def _seen(
    book: RuleBook, signal: Signal, readings: Readings, rows: npt.NDArray[np.bool_]
) -> npt.NDArray[np.int16]:
    codes = _codes(book, signal.id, readings, rows)
    return codes[codes != UNKNOWN]


def label_shifts(model: PriceModel, readings: Readings) -> tuple[WordShift, ...]:
    """Labels that the sales taught something about, those that moved most in front.

    Parameters
    ----------
    model : PriceModel
    readings : Readings
        What it was fitted on, for the number of sales of each.

    Returns
    -------
    tuple of WordShift
    """
    return _word_shifts(model, model.labels, readings.labels, before=0)


def season_shifts(model: PriceModel, readings: Readings) -> tuple[WordShift, ...]:
    """Seasons that the sales taught something about, those that moved most in front.

    Parameters
    ----------
    model : PriceModel
    readings : Readings
        What it was fitted on, for the number of sales in each.

    Returns
    -------
    tuple of WordShift
    """
    return _word_shifts(model, model.seasons, readings.seasons, before=len(model.labels))


def _word_shifts(
    model: PriceModel, known: Sequence[str], answers: Sequence[str], *, before: int
) -> tuple[WordShift, ...]:
    if not known:
        return ()
    # A label or season moves every kind alike, so any table serves.
    table = next(iter(model.tables.values()))
    first = int(table.starts[-3]) + before
    span = slice(first, first + len(known))
    doubts = _doubts(table)[span]
    words, counts = np.unique(np.array(answers, dtype=object).astype(str), return_counts=True)
    sales = dict(zip(words.tolist(), counts.tolist(), strict=True))
    order = np.argsort(-np.abs(table.sales[span]), kind="stable")
    learned = np.exp(table.sales[span])
    return tuple(
        WordShift(known[i], float(learned[i]), float(doubts[i]), sales.get(known[i], 0))
        for i in order.tolist()
    )


def how_often_looked(book: RuleBook, model: PriceModel, readings: Readings) -> tuple[Looked, ...]:
    """Every signal of every kind that sold, least looked at in front.

    Parameters
    ----------
    book : RuleBook
    model : PriceModel
    readings : Readings
        Of things that sold.

    Returns
    -------
    tuple of Looked
    """
    found: list[Looked] = []
    for place, kind in enumerate(book.kinds.values()):
        rows = readings.kinds == place
        if not rows.any():
            continue
        says_all = model.tables[kind.id].says
        for signal, variance in zip(kind.signals, says_all, strict=False):
            applies = rows & _applies(book, kind, signal, readings)
            count = int(applies.sum())
            if count:
                share = len(_seen(book, signal, readings, applies)) / count
                says = float(np.sqrt(variance))
                found.append(Looked(kind.id, signal.id, signal.name, count, share, says))
    return tuple(sorted(found, key=lambda one: (one.share, -one.says)))


def _applies(
    book: RuleBook, kind: Kind, signal: Signal, readings: Readings
) -> npt.NDArray[np.bool_]:
    """Whether a signal that needs another was asked for at all."""
    everywhere = np.ones(len(readings), dtype=bool)
    if signal.only_if is None:
        return everywhere
    given = _codes(book, signal.only_if.signal, readings, everywhere)
    return np.isin(given, codes_that_ask(kind, signal.only_if))
