"""What a shop's fit learns from: what each thing was worth, not the last mark that it sold at.

Every thing that hung long enough gets a worth drawn from what is known of it, sold or not; what
was sold before anybody counted days gets its price and the usual shortfall. Prices are fitted to
those worths, the worths are looked at again beside the new prices, and so on: each round halves
what the first prices had wrong (expectation and maximisation by turns; Dempster, Laird and Rubin
1977, JRSS B 39, 1-38). Nothing is drawn by chance anew: an item's draw hangs on its number.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np
import numpy.typing as npt
from sqlalchemy import Engine, Select
from sqlalchemy.orm import Session

from resale.config.settings import Settings
from resale.garments.measures.warmth import seasons_of
from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.make.tells import Loadings
from resale.pricing.model.columns.terms import Array
from resale.pricing.model.learn import learn
from resale.pricing.model.recency import Days, recency_weights
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer
from resale.selling.markdown.exposure import PricePeriods
from resale.selling.worth.definition import USUAL_DAYS
from resale.selling.worth.each_thing import worth_of_hung, worth_of_sold
from resale.selling.worth.regression import Hung, SoldOnly, WorthOpinion, learn_worth
from resale.storage.items.latest_readings import items_read, readings_of
from resale.storage.ledger.informative_periods import telling_periods
from resale.storage.ledger.price_periods import stretches
from resale.storage.ledger.sold_items import SoldItems

ROUNDS = 3
# With fewer things that hung their time, sale prices are all there is to learn from.
FEWEST = 40
# How far (log) the prices of a kind may lie from its worths as a whole, before data.
LEVEL_DOUBT = 0.3
# The golden ratio spreads the draws of neighbouring numbers evenly (Weyl 1916).
_GOLDEN = 0.6180339887498949


@dataclass(frozen=True)
class _Things:
    """Things that hung, with their price periods in money; arrays follow `readings`."""

    numbers: tuple[str, ...]
    readings: Readings
    since: Days
    ripe: npt.NDArray[np.bool_]
    chance: Array
    periods: PricePeriods
    thing: npt.NDArray[np.intp]


def taught_worths(
    engine: Engine,
    book: RuleBook,
    settings: Settings,
    sold: SoldItems,
    today: date,
    loadings: Loadings | None = None,
    only: Select[Any] | None = None,
) -> SoldItems:
    """Put what things were worth in the place of what they brought.

    Parameters
    ----------
    engine : Engine
    book : RuleBook
    settings : Settings
    sold : SoldItems
        All that sold.
    today : date
    loadings : mapping of kind id to ndarray, optional
        How signs of make go together; learned from what sold where omitted.
    only : select of ids, optional
        Which items are looked at, `sold` among them; all of them where omitted.

    Returns
    -------
    SoldItems
        Things that hung their time, sold or not, then bare sales; prices are worths. `sold`
        itself where too few hung.
    """
    things = _things_hung(engine, book, settings, today, only)
    if things is None or things.ripe.sum() < FEWEST:
        return sold
    known = set(things.numbers)
    bare = np.array([n for n, number in enumerate(sold.numbers) if number not in known], np.intp)
    taught = sold
    for _ in range(ROUNDS):
        taught = _once_more(book, settings, today, taught, things, _rows(sold, bare), loadings)
    return taught


def _things_hung(
    engine: Engine, book: RuleBook, settings: Settings, today: date, only: Select[Any] | None
) -> _Things | None:
    with Session(engine) as session:
        read = items_read(session, only)
    hung = [one for one in stretches(engine, today, only) if read[one.item].kind in book.kinds]
    if not hung:
        return None
    kinds = {kind: place for place, kind in enumerate(book.kinds)}
    periods = telling_periods(
        engine,
        PricePeriods(
            np.array([one.item for one in hung], dtype=np.intp),
            np.array([kinds[read[one.item].kind] for one in hung], dtype=np.intp),
            np.array([one.price for one in hung], dtype=float) / 10**settings.money.decimals,
            np.array([one.days for one in hung]),
            np.array([one.sold for one in hung], dtype=bool),
            age=np.array([one.age for one in hung]),
        ),
        only,
    )
    ids, thing = np.unique(periods.item, return_inverse=True)
    if not len(ids):
        return None
    # The day of putting out, not of the sale: what is slow ends late, and a level of prices by
    # quarter would take that for a fall of prices.
    first: dict[int, date] = {}
    for one in hung:
        first.setdefault(one.item, one.first)
    readings = readings_of([read[item] for item in ids], book)
    days = np.array([first[item] for item in ids], dtype="datetime64[D]")
    months = [first[item].month for item in ids]
    out = np.array([(today - first[item]).days for item in ids])
    return _Things(
        tuple(read[item].number for item in ids),
        replace(readings, seasons=seasons_of(book, readings, months)),
        days,
        out >= USUAL_DAYS,
        np.asarray((ids * _GOLDEN) % 1.0, dtype=float),
        periods,
        thing,
    )


def _once_more(
    book: RuleBook,
    settings: Settings,
    today: date,
    taught: SoldItems,
    things: _Things,
    bare: SoldItems,
    loadings: Loadings | None,
) -> SoldItems:
    """Fit prices to what was taught, and look at the worths again beside them."""

    def weights(days: Days) -> Array:
        return recency_weights(days, np.datetime64(today), settings.half_life_days)

    counts = settings.old_wear_counts
    model = learn(
        book,
        taught.readings,
        taught.price,
        weights(taught.sold_on),
        loadings=loadings,
        old_wear_counts=counts,
    )
    terms = ShopTerms(decimals=settings.money.decimals, old_wear_counts=counts)
    valuer = Valuer(book, model, terms)
    at = valuer.value(things.readings).estimate
    kinds = np.eye(len(book.kinds))
    hung = Hung(
        kinds[things.readings.kinds],
        weights(things.since),
        things.thing,
        things.periods.ratio / at[things.thing],
        things.periods.days,
        things.periods.ages,
        things.periods.sold,
    )
    at_bare = valuer.value(bare.readings).estimate if len(bare) else np.zeros(0)
    sales = SoldOnly(kinds[bare.readings.kinds], weights(bare.sold_on), bare.price / at_bare)
    none = np.zeros(len(kinds))
    found = learn_worth(hung, sales, WorthOpinion(none, none + LEVEL_DOUBT))
    worth = at * np.exp(worth_of_hung(found, hung, things.chance))
    ripe = np.flatnonzero(things.ripe)
    mine = SoldItems(
        tuple(things.numbers[row] for row in ripe),
        things.readings.rows(ripe),
        worth[ripe],
        things.since[ripe],
        0,
    )
    return _joined(mine, replace(bare, price=at_bare * np.exp(worth_of_sold(found, sales))))


def _rows(sold: SoldItems, chosen: npt.NDArray[np.intp]) -> SoldItems:
    return SoldItems(
        tuple(sold.numbers[row] for row in chosen),
        sold.readings.rows(chosen),
        sold.price[chosen],
        sold.sold_on[chosen],
        sold.left_out,
    )


def _joined(first: SoldItems, second: SoldItems) -> SoldItems:
    one, other = first.readings, second.readings
    return SoldItems(
        first.numbers + second.numbers,
        Readings(
            np.concatenate([one.kinds, other.kinds]),
            np.vstack([one.codes, other.codes]),
            one.labels + other.labels,
            one.seasons + other.seasons,
        ),
        np.concatenate([first.price, second.price]),
        np.concatenate([first.sold_on, second.sold_on]),
        second.left_out,
    )
