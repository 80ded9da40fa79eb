"""Every past sale priced by a model that had not seen it: the evidence on how good prices are.

Two ways to hold sales out. *Forward*: learn from earlier sales, judge later ones, as the shop
itself must; drift shows, and the model judged had fewer sales than the present one. *Mixed*: every
k-th sale in turn, where sales are too few or too close in time to go forward.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, fields

import numpy as np
from joblib import Parallel, delayed

from resale.config.prices import HALF_LIFE_DAYS
from resale.errors import ReadingError
from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.rule_book import RuleBook
from resale.pricing.make.tells import Loadings, loadings_from
from resale.pricing.model.columns.terms import Array
from resale.pricing.model.learn import learn, rules_alone
from resale.pricing.model.recency import Days, recency_weights
from resale.pricing.valuation.price_tables import PriceModel
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.tiers import Index
from resale.pricing.valuation.valuer import Valuer

COVERAGES = (0.5, 0.6, 0.7, 0.8, 0.9, 0.95)
FOLDS = 5
# A shop's machine may have two cores; more would only keep the desks waiting.
AT_ONCE = 2
# Below these, one part in six is too little to learn from, or too short a time to show drift.
FEWEST_FORWARD, SHORTEST_FORWARD = 120, 90
FEWEST = 2 * FOLDS
AS_ANYWHERE = ShopTerms()


@dataclass(frozen=True)
class Fold:
    """Places of the sales to learn from, and of those to be judged."""

    learn: Index
    judge: Index


@dataclass(frozen=True)
class Guesses:
    """What was said of sales before their price was known.

    Attributes
    ----------
    middle : ndarray, shape (n,)
        Log of the estimate, before it is rounded to money.
    spread : ndarray, shape (n,)
        Expected standard deviation of log price.
    half : ndarray, shape (n, coverages)
        How far the band of each of `COVERAGES` reaches either way, in log price.
    """

    middle: Array
    spread: Array
    half: Array

    @property
    def estimate(self) -> Array:
        """Estimates as money, shape (n,)."""
        return np.exp(self.middle)

    def band(self, coverage: float) -> tuple[Array, Array]:
        """Low and high price of the band of one of `COVERAGES`, each of shape (n,)."""
        half = self.half[:, COVERAGES.index(coverage)]
        return np.exp(self.middle - half), np.exp(self.middle + half)


@dataclass(frozen=True)
class ValidationSales:
    """Sales with what a model that had not seen them, and the rules alone, said of them.

    Attributes
    ----------
    sale : ndarray of int, shape (n,)
        Place of each among the sales given.
    kinds : ndarray of int, shape (n,)
        Place of its kind in the book.
    learned_from : ndarray of int, shape (n,)
        How many sales the model that judged it had learned from.
    forward : bool
        Whether only earlier sales were learned from.
    """

    sale: Index
    kinds: Index
    sold_on: Days
    price: Array
    learned_from: Index
    model: Guesses
    rules: Guesses
    forward: bool

    def __len__(self) -> int:
        return len(self.sale)

    @property
    def error(self) -> Array:
        """Log of price over the model's estimate, shape (n,)."""
        return np.log(self.price) - self.model.middle

    @property
    def rules_error(self) -> Array:
        """Log of price over the estimate of the rules alone, shape (n,)."""
        return np.log(self.price) - self.rules.middle

    @property
    def inside(self) -> Array:
        """Whether each sale lies in each band of the model, bool, shape (n, coverages)."""
        return np.asarray(np.abs(self.error)[:, None] <= self.model.half)


def forward_folds(sold_on: Days, folds: int = FOLDS) -> tuple[Fold, ...]:
    """Cut the sales in order of time; each part but the first is judged by all before it.

    Sales of one day stay together: nobody learns in the evening for the same morning.

    Parameters
    ----------
    sold_on : ndarray of datetime64, shape (n,)
        Days of the sales, in any order.
    folds : int
        Parts that are judged; the first part is only learned from.

    Returns
    -------
    tuple of Fold
        Places of the sales to learn from and to judge, in order of time.
    """
    order = np.argsort(sold_on, kind="stable")
    days = sold_on[order]
    wanted = np.linspace(0, len(days), folds + 2)[1:-1].astype(int)
    cuts = np.unique(np.searchsorted(days, days[wanted], side="left"))
    ends = np.append(cuts[1:], len(days))
    return tuple(
        Fold(order[:start], order[start:end])
        for start, end in zip(cuts.tolist(), ends.tolist(), strict=True)
        if start > 0
    )


def mixed_folds(sold_on: Days, folds: int = FOLDS) -> tuple[Fold, ...]:
    """Judge every k-th sale in order of time by all others, so each part holds all seasons.

    Parameters
    ----------
    sold_on : ndarray of datetime64, shape (n,)
        Days of the sales, in any order.
    folds : int
        Parts; each is judged once.

    Returns
    -------
    tuple of Fold
        Places of the sales to learn from and to judge.
    """
    order = np.argsort(sold_on, kind="stable")
    part = np.arange(len(order)) % folds
    return tuple(Fold(order[part != out], order[part == out]) for out in range(folds))


def can_go_forward(sold_on: Days) -> bool:
    """Whether the sales are many enough, over long enough, to judge later ones by earlier ones."""
    if len(sold_on) < FEWEST_FORWARD:
        return False
    return bool((sold_on.max() - sold_on.min()).astype(int) >= SHORTEST_FORWARD)


def validation_errors(
    book: RuleBook,
    readings: Readings,
    price: Array,
    sold_on: Days,
    *,
    half_life: float = HALF_LIFE_DAYS,
    terms: ShopTerms = AS_ANYWHERE,
    forward: bool | None = None,
    folds: int = FOLDS,
    along: Callable[[Sequence[Fold]], Iterable[Fold]] = iter,
) -> ValidationSales:
    """Judge sales by models that had not seen them.

    Parameters
    ----------
    readings, price, sold_on : Readings, ndarray, ndarray of datetime64, shape (n,)
        Past sales in any order.
    half_life : float, default 365
        As for the fit that is to be judged, in days.
    terms : ShopTerms, optional
        Of the shop: what wear counts on things that are wanted for their age.
    forward : bool, optional
        Whether to learn from earlier sales only; where omitted, if there are enough of them.
    along : callable, optional
        Wraps the list of folds, such as in a progress bar.

    Returns
    -------
    ValidationSales
        In order of fold; forward, the first part of the sales is not judged.

    Raises
    ------
    ReadingError
        With fewer than 10 sales, or all on so few days that none is before another.
    """
    days = sold_on.astype("datetime64[D]")
    go_forward = can_go_forward(days) if forward is None else forward
    planned = _planned(days, folds, go_forward)
    # How signs go together needs no price, so all readings say it, to every fold.
    loadings = loadings_from(book, readings)
    # Folds know nothing of each other. In threads: most of a fit is NumPy's, outside the lock.
    judged = Parallel(n_jobs=AT_ONCE, prefer="threads")(
        delayed(_judge)(book, readings, price, days, fold, half_life, loadings, terms)
        for fold in along(planned)
    )
    sale = np.concatenate([fold.judge for fold in planned])
    rules = Valuer(book, rules_alone(book), terms)
    return ValidationSales(
        sale,
        readings.kinds[sale],
        days[sale],
        price[sale],
        np.concatenate([np.full(len(f.judge), len(f.learn), dtype=np.intp) for f in planned]),
        _joined(judged),
        _guesses(rules, readings.rows(sale)),
        go_forward,
    )


def _planned(days: Days, folds: int, go_forward: bool) -> tuple[Fold, ...]:
    if len(days) < FEWEST:
        raise ReadingError(
            f"{len(days)} sales are too few to hold some out", remedy=f"wait for {FEWEST} or more"
        )
    planned = (forward_folds if go_forward else mixed_folds)(days, folds)
    if not planned:
        raise ReadingError(
            "all sales are of one day, so none is earlier than another",
            remedy="hold out every fifth sale instead",
        )
    return planned


def _judge(
    book: RuleBook,
    readings: Readings,
    price: Array,
    days: Days,
    fold: Fold,
    half_life: float,
    loadings: Loadings,
    terms: ShopTerms,
) -> Guesses:
    """Learn as of the last sale known, then value what is held out."""
    known = days[fold.learn]
    weight = recency_weights(known, known.max(), half_life)
    # Mixed folds judge sales of all times, so their level is that of all times too.
    later = bool(days[fold.judge].min() >= known.max())
    model: PriceModel = learn(
        book,
        readings.rows(fold.learn),
        price[fold.learn],
        weight,
        sold_on=known if later else None,
        loadings=loadings,
        old_wear_counts=terms.old_wear_counts,
    )
    return _guesses(Valuer(book, model, terms), readings.rows(fold.judge))


def _guesses(valuer: Valuer, readings: Readings) -> Guesses:
    found = valuer.value(readings)
    places = range(len(valuer.book.kinds))
    reach = np.array([[valuer.model.scores.reach(p, c) for c in COVERAGES] for p in places])
    return Guesses(
        np.log(found.anchor) + found.level + found.standing,
        found.spread,
        reach[readings.kinds] * found.spread[:, None],
    )


def _joined(parts: Sequence[Guesses]) -> Guesses:
    def columns() -> Iterator[Array]:
        for field in fields(Guesses):
            yield np.concatenate([getattr(part, field.name) for part in parts])

    return Guesses(*columns())
