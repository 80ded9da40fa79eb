"""Which items of a batch mending could pay for at all: a bound for all of them in one call.

Were every remedy that touches an item to work, and all of them to cost no more than the cheapest
alone, the item could not gain more than this. Where even that is too little, no set of remedies
pays, and the exact search over sets need not be made.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from resale.garments.rulebook.readings import NOT_LOOKED_AT, Readings, option_code
from resale.pricing.model.columns.terms import Array
from resale.pricing.valuation.tiers import ROUTES
from resale.pricing.valuation.valuations import Valuations
from resale.pricing.valuation.valuer import Valuer
from resale.selling.markdown.terms import SellingTerms
from resale.selling.mending.enumerate import TINY
from resale.selling.mending.plan_words import MINUTES_AN_HOUR
from resale.selling.mending.remedies import AlikeBook, Remedies, load_remedies

SEVERAL = -2
"""Code where remedies leave a sign in more than one state: such an item is searched."""


def may_pay(
    valuer: Valuer,
    readings: Readings,
    values: Valuations,
    terms: SellingTerms,
    *,
    remedies: Remedies | None = None,
) -> npt.NDArray[np.bool_]:
    """Say of every item whether some set of remedies could be worth its cost.

    Parameters
    ----------
    valuer : Valuer
    readings : Readings
    values : Valuations
        What the valuer says of these readings.
    terms : SellingTerms
    remedies : Remedies, optional
        The shipped ones unless told otherwise.

    Returns
    -------
    ndarray of bool, shape (n,)
        False only where `best_mending` chooses nothing.

    Notes
    -----
    What forbids a remedy on an item, and its chance to fail, are left out: both make it pay less.
    The bound rests on order: a mended sign is worth no less than the same sign unmended.
    """
    shipped = load_remedies(valuer.book) if remedies is None else remedies
    tables = _tables(AlikeBook(valuer.book), shipped, valuer.terms.wage)
    signals = np.arange(readings.codes.shape[1])
    place = (readings.kinds[:, None], signals[None, :], readings.codes)
    after, cost = tables.after[place], tables.cost[place]
    least = cost.min(axis=1)
    touched = np.isfinite(least)
    found = np.zeros(len(readings), dtype=bool)
    if not touched.any():
        return found
    rows = np.flatnonzero(touched)
    now, several = readings.rows(rows), (after[rows] == SEVERAL).any(axis=1)
    mended = np.where(after[rows] >= 0, after[rows], now.codes).astype(now.codes.dtype)
    best = valuer.value(Readings(now.kinds, mended, now.labels, now.seasons))
    gain = _worth(best, terms) - _worth(values, terms)[rows]
    most = terms.gain_share * gain - least[rows]
    found[rows] = several | (most > max(terms.least_mending_net, TINY))
    return found


def _worth(valued: Valuations, terms: SellingTerms) -> Array:
    return np.where(valued.route == ROUTES.index("pass_on"), terms.pass_on_value, valued.mean)


@dataclass(frozen=True)
class _Tables:
    """By kind, sign and option: the option that is left when a remedy works, and the least cost.

    The last place of the third axis is that of a sign not looked at, whose code is -1.
    """

    after: npt.NDArray[np.int16]
    cost: Array


@lru_cache(maxsize=4)
def _tables(alike: AlikeBook, remedies: Remedies, wage: float) -> _Tables:
    book = alike.book
    most = 1 + max(len(one.options) for kind in book.kinds.values() for one in kind.signals)
    shape = (len(book.kinds), len(book.signal_ids), most)
    after, cost = np.full(shape, NOT_LOOKED_AT, dtype=np.int16), np.full(shape, np.inf)
    for remedy in remedies:
        price = remedy.minutes * wage / MINUTES_AN_HOUR + remedy.material
        for row, kind in enumerate(book.kinds.values()):
            if remedy.kinds and kind.id not in remedy.kinds:
                continue
            for treatment in remedy.treats:
                if treatment.signal not in kind.by_id:
                    continue
                column = book.signal_ids.index(treatment.signal)
                for seen, left in treatment.after.items():
                    at = (row, column, option_code(kind, treatment.signal, seen))
                    code = option_code(kind, treatment.signal, left)
                    after[at] = code if after[at] in {NOT_LOOKED_AT, code} else SEVERAL
                    cost[at] = min(cost[at], price)
    return _Tables(after, cost)
