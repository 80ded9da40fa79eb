"""A kind of which nothing sold: the book's opinion on it, and what other kinds taught of it.

Columns of a kind without sales stay as they were believed, so a fit need not carry them: twenty
kinds of the book that a shop never sold would only make it slow. What is known of such a kind is
the posterior of the columns that it shares with those that sold (the level of all prices, labels,
shared signs), beside its own opinions with their own doubts. That is what a fit with all columns
would say, but for the order of its ladders, which is kept here in each such kind by itself.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

from resale.garments.rulebook.rule_book import Kind
from resale.pricing.model.columns.encoding import Column, Encoder
from resale.pricing.model.columns.prior_columns import LABEL_HERE, QUARTER, SHOP, plan_from_priors
from resale.pricing.model.columns.terms import Anchors, Array, Departure, Slopes
from resale.pricing.model.conformal import Scores
from resale.pricing.model.fitted import Fitted, Weights, gaps_of
from resale.pricing.model.monotone import enforce_order
from resale.pricing.model.priors import Priors
from resale.pricing.model.recipe import recipe_for
from resale.pricing.model.rule_book_priors import KIND, LABEL, SEASON, BookCoder

Places = npt.NDArray[np.intp]


def without_sales(
    coder: BookCoder, fitted: Fitted, kind: Kind, opinions: Priors
) -> tuple[BookCoder, Fitted]:
    """Give the columns of one kind that the fit does not have, and what is known of them.

    Parameters
    ----------
    coder : BookCoder
        That coded the sales of the fit.
    fitted : Fitted
    kind : Kind
        None of those that sold.
    opinions : Priors
        Of the whole book.

    Returns
    -------
    coder : BookCoder
    fitted : Fitted
        Of this kind alone.
    """
    priors = opinions.of([kind.id])
    encoder = plan_from_priors(priors, KIND, _same_words(fitted.encoder), np.empty(0))
    here, there = _shared_columns(encoder, fitted.encoder)
    learned = np.zeros(len(encoder.prior))
    covariance = np.diag((encoder.doubt * _scales(encoder, fitted)) ** 2)
    learned[here] = fitted.weights.learned[there]
    covariance[np.ix_(here, here)] = fitted.weights.covariance[np.ix_(there, there)]
    climb = recipe_for(encoder, priors).climb
    ordered = enforce_order(encoder.prior + learned, covariance, climb)
    weights = Weights(
        0.0,
        encoder.prior,
        ordered.weights - encoder.prior,
        ordered.covariance,
        np.zeros(len(learned)),
        fitted.weights.noise,
        fitted.weights.scales,
    )
    gaps = gaps_of(encoder, weights.both)
    nobody = Scores.of(np.empty(0), np.empty(0, np.intp), 1)
    own = BookCoder(coder.book, encoder, coder.loadings)
    return own, Fitted(
        encoder, weights, fitted.noise, gaps, nobody, fitted.smearing[-1:], fitted.sales
    )


def _same_words(encoder: Encoder) -> pd.DataFrame:
    """Labels, seasons and quarters that the fit knows, as columns of a table without a row."""
    known = dict(zip(encoder.discrete, encoder.levels, strict=True))
    words = {
        name: known[name] for name in (LABEL, SEASON, QUARTER, SHOP, LABEL_HERE) if name in known
    }
    return pd.DataFrame({n: pd.Categorical([], categories=list(w)) for n, w in words.items()})


def _scales(encoder: Encoder, fitted: Fitted) -> Array:
    """How far each column may lie off, in doubts: as the evidence set it, or as it was believed."""
    found = dict(zip(fitted.encoder.families, fitted.weights.scales.tolist(), strict=True))
    own = [found.get(name, encoder.pulls[name].towards) for name in encoder.families]
    return np.array(own)[encoder.family]


def _shared_columns(own: Encoder, fit: Encoder) -> tuple[Places, Places]:
    """Columns that both have: here, and in the fit."""
    place = {_name(block): span for block, span in zip(fit.blocks, fit.spans, strict=True)}
    here: list[int] = []
    there: list[int] = []
    for block, (first, last) in zip(own.blocks, own.spans, strict=True):
        if isinstance(block.term, Departure | Slopes) or _name(block) not in place:
            continue
        # Of the anchors, the level of all kinds is shared and no other.
        width = 1 if isinstance(block.term, Anchors) else last - first
        start = place[_name(block)][0]
        here += range(first, first + width)
        there += range(start, start + width)
    return np.array(here, dtype=np.intp), np.array(there, dtype=np.intp)


def _name(block: Column) -> tuple[str, str]:
    return block.term.owner, block.term.family
