"""The invented shop as arrays: its past sales, more sales by the same truth, and that truth.

Reads the generator in `demo_data`, so that a test may ask for sales that no file holds.
"""

from __future__ import annotations

import importlib
import sys
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from scipy.stats import norm

from resale.garments.measures.warmth import seasons_of
from resale.garments.rulebook.readings import NOT_LOOKED_AT, Readings
from resale.garments.rulebook.rule_book import Kind, RuleBook

DEMO = Path(__file__).parents[2] / "demo_data"


@dataclass(frozen=True)
class Shop:
    """Past sales.

    Attributes
    ----------
    best : ndarray, shape (n,)
        Log price by the generator's own effects of what was looked at, label, level and season,
        with make as the tells looked at give it: nearly the best that can be known.
    """

    readings: Readings
    price: np.ndarray
    sold_on: np.ndarray
    best: np.ndarray

    def rows(self, chosen: np.ndarray) -> Shop:
        return Shop(
            self.readings.rows(chosen),
            self.price[chosen],
            self.sold_on[chosen],
            self.best[chosen],
        )


def shop_book() -> RuleBook:
    """Return the rule book with the kinds that the shop sells."""
    return _part("shop_book").shop_book()


def truth() -> Any:
    """Return what the generator takes for true."""
    return _part("truth").make_truth(shop_book())


def maker_names() -> tuple[str, ...]:
    return tuple(_part("makers").NAMES)


@cache
def past_sales() -> Shop:
    """Return the sales of `sales.csv`, in the order of its kinds."""
    return _shop("", 1)


@cache
def more_sales(name: str, times: int = 1) -> Shop:
    """Draw other sales of the same shop: same truth, same habits, other chances."""
    return _shop(name, times)


def stock_of(name: str, kind_id: str, count: int) -> Readings:
    """Things of one kind of which all that applies is known, without labels."""
    book, stock = shop_book(), _part("stock")
    plain = _part("streams").stream
    try:
        stock.stream = lambda *names: plain(name, *names)
        drawn = stock.draw_stock(book.kinds[kind_id], count, truth().makers, sold=True)
    finally:
        stock.stream = plain
    codes = np.full((count, len(book.signal_ids)), NOT_LOOKED_AT, dtype=np.int16)
    for signal_id, options in drawn.codes.items():
        codes[:, book.signal_ids.index(signal_id)] = options
    place = np.full(count, list(book.kinds).index(kind_id), dtype=np.intp)
    return Readings(place, codes, ("",) * count)


def _part(name: str) -> Any:
    if str(DEMO) not in sys.path:
        sys.path.append(str(DEMO))
    return importlib.import_module(name)


def _shop(name: str, times: int) -> Shop:
    book, stock, ledger = shop_book(), _part("stock"), _part("ledger")
    plain = _part("streams").stream

    def stream(*names: str) -> np.random.Generator:
        # Habits of looking belong to the shop, everything else to the draw.
        return plain(*names) if not name or names[0] == "habit" else plain(name, *names)

    try:
        stock.stream = ledger.stream = stream
        parts = [
            _sold(book, kind, times * count) for kind, count in _part("shop_book").SOLD.items()
        ]
    finally:
        stock.stream = ledger.stream = plain
    labels = tuple(label for part in parts for label in part.readings.labels)
    kinds, codes, price, sold_on, best = (
        np.concatenate(values)
        for values in zip(
            *((p.readings.kinds, p.readings.codes, p.price, p.sold_on, p.best) for p in parts),
            strict=True,
        )
    )
    readings = Readings(kinds, codes, labels)
    return Shop(with_seasons(book, readings, sold_on), price, sold_on, best)


def with_seasons(book: RuleBook, readings: Readings, sold_on: np.ndarray) -> Readings:
    months = sold_on.astype("datetime64[M]").astype(int) % 12 + 1
    return replace(readings, seasons=seasons_of(book, readings, months))


def _sold(book: RuleBook, kind_id: str, count: int) -> Shop:
    true = truth()
    items = _part("stock").draw_stock(book.kinds[kind_id], count, true.makers, sold=True)
    sales = _part("ledger").sell(true, items)
    codes = np.full((count, len(book.signal_ids)), NOT_LOOKED_AT, dtype=np.int16)
    seen = {}
    for signal_id, drawn in items.codes.items():
        seen[signal_id] = np.where(items.looked[signal_id], drawn, NOT_LOOKED_AT)
        codes[:, book.signal_ids.index(signal_id)] = seen[signal_id]
    kind = book.kinds[kind_id]
    best = np.log(true.anchor[kind_id]) + true.standing(kind, seen, _make_by(kind, seen))
    best += true.level(sales.sold)
    best += np.where(items.maker < 0, 0.0, true.makers.effect[items.maker])
    best += true.season((sales.sold - sales.sold.astype("datetime64[Y]")).astype(float) + 1)
    labels = tuple("" if maker < 0 else maker_names()[maker] for maker in items.maker)
    place_of = np.full(count, list(book.kinds).index(kind_id), dtype=np.intp)
    return Shop(Readings(place_of, codes, labels), sales.price, sales.sold, best)


def _make_by(kind: Kind, seen: dict[str, np.ndarray]) -> np.ndarray:
    """Expected make given the tells looked at: the factor score with the generator's own leaning.

    Each answer's score is the mean of the normal stretch that the generator cuts it from.
    """
    lean, lean_of = _part("stock").TELL_LEAN, _part("stock").LEAN_OF
    tells = [signal for signal in kind.signals if signal.counts == "tell"]
    loading = np.array([lean_of.get(signal.id, lean) for signal in tells])
    codes = np.column_stack([seen[signal.id] for signal in tells])
    weight = loading / (1 - loading**2)
    scores = np.zeros(codes.shape)
    for place, signal in enumerate(tells):
        share = np.array([option.share for option in signal.options])
        order = np.argsort([option.effect for option in signal.options], kind="stable")
        ends = np.clip(np.concatenate([[0.0], np.cumsum(share[order] / share.sum())]), 0.0, 1.0)
        ends = norm.pdf(norm.ppf(ends))
        mean = np.zeros(len(share))
        mean[order] = -np.diff(ends) / np.maximum(share[order], 1e-12)
        scores[:, place] = np.append(mean, 0.0)[codes[:, place]]
    known = codes != NOT_LOOKED_AT
    return np.asarray((scores @ weight) / (1 + known @ (loading * weight)))
