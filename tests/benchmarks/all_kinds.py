"""What a fit to sales of every kind takes, against one of five kinds, and against all at once.

    python tests/benchmarks/all_kinds.py

Ratios of processor time in one process, the least of several runs: the machine's own speed cancels
out. *All at once* is the same fit with one system for the columns of all kinds.
"""

from __future__ import annotations

import argparse
import time
from dataclasses import replace

import numpy as np
import pandas as pd
from speed import made_up

from resale.garments.rulebook.rule_book import RuleBook, load_rule_book
from resale.pricing.model.columns.prior_columns import plan_from_priors
from resale.pricing.model.fit import fit
from resale.pricing.model.recipe import Recipe, Sales, recipe_for
from resale.pricing.model.rule_book_priors import KIND, BookCoder, priors_of

FIVE = ("bag", "jacket", "shirt", "shoes", "trousers")


def sold(book: RuleBook, count: int) -> tuple[Recipe, Sales]:
    """Make up sales of every kind of a book."""
    readings, rng = made_up(book, count), np.random.default_rng(2)
    priors = priors_of(book)
    coder = BookCoder(book, plan_from_priors(priors, KIND, pd.DataFrame(), np.ones(count)))
    target = rng.normal(3, 0.5, count)
    return recipe_for(coder.encoder, priors), Sales(coder.code(readings), target, np.ones(count))


def seconds(recipe: Recipe, sales: Sales, runs: int) -> tuple[float, np.ndarray]:
    """Least processor time of some fits, and the weights."""
    times = []
    for _ in range(runs):
        start = time.process_time()
        fitted = fit(replace(recipe), sales)
        times.append(time.process_time() - start)
    return min(times), fitted.weights.learned


def main() -> None:
    """Compare."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--sales", type=int, default=3000)
    options.add_argument("--runs", type=int, default=2)
    given = options.parse_args()
    book = load_rule_book()
    few, all_kinds = sold(book.of(FIVE), given.sales), sold(book, given.sales)
    five, _ = seconds(*few, given.runs)
    ours, weights = seconds(*all_kinds, given.runs)
    once, same = seconds(replace(all_kinds[0], by_kind=False), all_kinds[1], 1)
    print(f"{len(book.kinds)} kinds, {given.sales} sales, {len(weights)} columns")
    print(f"kind by kind / five kinds   {ours / five:6.2f}   ({ours:.1f} s / {five:.1f} s)")
    print(f"all at once / five kinds    {once / five:6.2f}   ({once:.1f} s / {five:.1f} s)")
    print(f"largest difference of a weight  {np.abs(weights - same).max():.1e}")


if __name__ == "__main__":
    main()
