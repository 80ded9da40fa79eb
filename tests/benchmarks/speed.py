"""How fast valuing, explaining and fitting are, as ratios to well-known work in the same run.

    python tests/benchmarks/speed.py

Ratios, not seconds, are what to quote: the machine's own speed cancels out. Each time is the
least of several runs, in one process, after a first run that does not count.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable
from types import ModuleType

import numpy as np
import pandas as pd
from libraries import library
from sklearn.linear_model import Ridge

from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.rule_book import RuleBook, load_rule_book
from resale.pricing.model.learn import fit_book, learn, rules_alone
from resale.pricing.model.rule_book_priors import BookCoder
from resale.pricing.valuation.explanation import explain
from resale.pricing.valuation.next_check import next_checks
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer


def made_up(book: RuleBook, count: int, seed: int = 1) -> Readings:
    """Items drawn from the book's shares, half of the signals looked at."""
    rng = np.random.default_rng(seed)
    kinds = rng.integers(0, len(book.kinds), count)
    codes = np.full((count, len(book.signal_ids)), -1, dtype=np.int16)
    for place, kind in enumerate(book.kinds.values()):
        rows = np.flatnonzero(kinds == place)
        for signal in kind.signals:
            share = np.array([option.share for option in signal.options])
            drawn = rng.choice(len(share), len(rows), p=share / share.sum())
            column = book.signal_ids.index(signal.id)
            codes[rows, column] = np.where(rng.random(len(rows)) < 0.5, drawn, -1)
    return Readings(kinds, codes, ("",) * count)


def as_words(book: RuleBook, readings: Readings) -> pd.DataFrame:
    """Return the same items as a table of words, the way any other tool would get them."""
    kinds = np.array(tuple(book.kinds))
    columns: dict[str, np.ndarray] = {"kind": kinds[readings.kinds]}
    for place, signal_id in enumerate(book.signal_ids):
        words = np.full(len(readings), None, dtype=object)
        for k, kind in enumerate(book.kinds.values()):
            if signal_id in kind.by_id:
                names = np.array([*kind.by_id[signal_id].option_ids, None], dtype=object)
                rows = readings.kinds == k
                words[rows] = names[readings.codes[rows, place]]
        columns[signal_id] = words
    return pd.DataFrame(columns)


def least(work: Callable[[], object], runs: int = 3) -> float:
    """Least time of several runs in seconds, after one that does not count."""
    work()
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def show(name: str, ours: float, other: float, target: str) -> None:
    """Print one comparison."""
    ratio = f"ours {ours:8.4f} s   other {other:8.4f} s   ratio {ours / other:8.3f}"
    print(f"{name:46s} {ratio}   {target}")


def main() -> None:
    """Run all comparisons."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--items", type=int, default=100_000)
    count = options.parse_args().items
    boosted = library("lightgbm")
    book = load_rule_book()
    readings = made_up(book, count)
    rng = np.random.default_rng(2)
    rules = Valuer(book, rules_alone(book), ShopTerms())
    price = rules.value(readings).estimate * np.exp(rng.normal(0, 0.3, count))
    valuer = Valuer(book, learn(book, *_first(readings, price, 3000)), ShopTerms())
    table = as_words(book, readings)
    encoder = fit_book(book, *_first(readings, price, 3000))[1].encoder
    columns = np.vstack([c for _, c in encoder.pieces(BookCoder(book, encoder).code(readings))])

    valued = least(lambda: valuer.value(readings).in_minor_units)
    weights = rng.normal(size=columns.shape[1])
    plain = least(lambda: columns @ weights) + least(lambda: pd.get_dummies(table), runs=1)
    show("value, band and money shares / product + dummies", valued, plain, "target <= 5")
    _trees(boosted, table, price, valuer, readings)
    one = Readings(readings.kinds[:1], readings.codes[:1], readings.labels[:1])
    alone = least(lambda: _at_the_desk(valuer, one), 20)
    show("one valuation with its explanation / 5 ms", alone, 0.005, "target <= 1")
    fitted = least(lambda: fit_book(book, readings, price), 1)
    ridge = least(lambda: Ridge(1.0, solver="cholesky").fit(columns, np.log(price)), 1)
    show("fit / Ridge on the same columns", fitted, ridge, "target <= 5")


def _at_the_desk(valuer: Valuer, one: Readings) -> None:
    """What the bench works out at each tap: the valuation, and what to look at next."""
    values = valuer.value(one)
    explain(valuer, one, values)
    next_checks(valuer, one, values)


def _first(readings: Readings, price: np.ndarray, count: int) -> tuple[Readings, np.ndarray]:
    few = Readings(readings.kinds[:count], readings.codes[:count], readings.labels[:count])
    return few, price[:count]


def _trees(
    boosted: ModuleType,
    table: pd.DataFrame,
    price: np.ndarray,
    valuer: Valuer,
    readings: Readings,
) -> None:
    """Explain the same items by TreeSHAP of a boosted model of the usual size."""
    codes = table.astype("category")
    part = slice(0, 5000)
    model = boosted.LGBMRegressor(n_estimators=300, verbose=-1).fit(
        codes[:20000], np.log(price[:20000])
    )
    per_item = least(lambda: model.predict(codes[part], pred_contrib=True), 1) / 5000
    ours = least(lambda: valuer.value(readings)) / len(readings)
    show("explain an item / TreeSHAP of 300 trees", ours, per_item, "target <= 1/50 = 0.020")


if __name__ == "__main__":
    main()
