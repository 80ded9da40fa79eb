"""The tells of a kind: which signs speak of its make, and what the book says each is worth alone.

For each kind the book says how far prices move with one standard deviation of make, g (log). A
tell's option has the score ``x = (log effect - mean) / s`` with mean and standard deviation s over
the kind's shares, and the loading ``l = s / g``, at most 0.9. Alone, it then moves the log price
by ``g l x``: what the book says. A rule book that gives no g for a kind has no tells in it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from resale.garments.rulebook.readings import NOT_LOOKED_AT, Readings
from resale.garments.rulebook.rule_book import Kind, RuleBook
from resale.garments.rulebook.signals import Signal
from resale.pricing.make.factor_score import MOST_LOADING, Array, factor_score, precision
from resale.pricing.make.loadings import learned_loadings

# Loadings of each kind's tells, in the order of the hand.
Loadings = Mapping[str, Array]


@dataclass(frozen=True)
class Tells:
    """The tells of one kind.

    Attributes
    ----------
    g : float
        Log price that one standard deviation of make moves; 0 where the book gives none.
    signals : tuple of Signal
        In the order of the hand.
    scores : tuple of ndarray
        Standardised score of each option of each tell.
    loading : ndarray, shape (tells,)
    """

    g: float
    signals: tuple[Signal, ...]
    scores: tuple[Array, ...]
    loading: Array

    @property
    def weight(self) -> Array:
        """How much each tell adds to P, shape (tells,)."""
        return precision(self.loading)

    def points(self, place: int) -> Array:
        """``g l x / p`` of each option of a tell: its log contribution is this over P."""
        loading = self.loading[place]
        return np.asarray(self.g * loading / (1 - loading**2) * self.scores[place])


def tells_of(kind: Kind, loading: Array | None = None) -> Tells:
    """Read the tells of a kind off the book.

    Parameters
    ----------
    kind : Kind
    loading : ndarray, shape (tells,), optional
        As learned from readings; the book's own where omitted.

    Returns
    -------
    Tells
    """
    g = kind.text.make or 0.0
    signals = tuple(s for s in kind.signals if s.counts == "tell") if g else ()
    logs = [np.log([option.effect for option in signal.options]) for signal in signals]
    shares = [_shares(signal) for signal in signals]
    centred = [log - share @ log for log, share in zip(logs, shares, strict=True)]
    spread = np.array([np.sqrt(s @ c**2) for s, c in zip(shares, centred, strict=True)])
    own = np.minimum(spread / g, MOST_LOADING) if g else np.empty(0)
    scores = [c / s if s > 0 else np.zeros(len(c)) for c, s in zip(centred, spread, strict=True)]
    return Tells(g, signals, tuple(scores), own if loading is None else loading)


def _shares(signal: Signal) -> Array:
    share = np.array([option.share for option in signal.options])
    return np.asarray(share / share.sum())


def scores_of(
    book: RuleBook, tells: Tells, codes: npt.NDArray[np.int16]
) -> tuple[Array, npt.NDArray[np.bool_]]:
    """Scores of things of one kind, and which signs were looked at, both of shape (n, tells).

    Parameters
    ----------
    book : RuleBook
    tells : Tells
        Of one kind.
    codes : ndarray of int16, shape (n, signals of the book)
        Place of the option of each sign, -1 where it was not looked at.

    Returns
    -------
    scores : ndarray, shape (n, tells)
        Standard deviations above the average of the kind; 0 where it was not looked at.
    seen : ndarray of bool, shape (n, tells)
    """
    columns = [book.signal_ids.index(signal.id) for signal in tells.signals]
    picked = codes[:, columns]
    looked = picked != NOT_LOOKED_AT
    scores = np.zeros(picked.shape)
    for place, score in enumerate(tells.scores):
        scores[:, place] = np.append(score, 0.0)[picked[:, place]]
    return scores, looked


def make_of(book: RuleBook, readings: Readings, loadings: Loadings) -> tuple[Array, Array]:
    """Make of each thing by its tells, and P.

    Parameters
    ----------
    book : RuleBook
    readings : Readings
    loadings : mapping of kind id to ndarray
        The book's own where a kind is missing.

    Returns
    -------
    f, P : ndarray, shape (n,)
        0 and 1 where no tell was looked at.
    """
    f, total = np.zeros(len(readings)), np.ones(len(readings))
    for place, kind in enumerate(book.kinds.values()):
        rows = np.flatnonzero(readings.kinds == place)
        tells = tells_of(kind, loadings.get(kind.id))
        if len(rows) and len(tells.signals):
            scores, looked = scores_of(book, tells, readings.codes[rows])
            f[rows], total[rows] = factor_score(scores, tells.loading, looked)
    return f, total


def loadings_from(book: RuleBook, readings: Readings) -> dict[str, Array]:
    """Learn from readings how the signs of each kind go together.

    Parameters
    ----------
    book : RuleBook
        Its own loadings are the prior.
    readings : Readings
        Things that were looked at, sold or not.

    Returns
    -------
    dict of kind id to ndarray of shape (tells,)
    """
    found = {}
    for place, kind in enumerate(book.kinds.values()):
        tells = tells_of(kind)
        scores, looked = scores_of(book, tells, readings.codes[readings.kinds == place])
        found[kind.id] = learned_loadings(np.where(looked, scores, np.nan), tells.loading)
    return found
