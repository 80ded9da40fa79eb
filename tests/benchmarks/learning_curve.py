"""How near prices come to the best possible as sales come in, on held-out sales of the demo shop.

    python tests/benchmarks/learning_curve.py            (some minutes; --write for the table)

The noise floor is the error of the generator's own truth: its true effects of what was looked at,
make as the tells looked at give it, its true labels, level and season.
Errors are root mean squares of log price over sales that the generator draws anew, by the same
truth and the same habits of looking. Sets of 200 sales are parts of the file of sales; sets of
3,000 are that file and further draws like it.
"""

from __future__ import annotations

import argparse
import datetime
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

# Run as a script, only this folder is on the path.
sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1] / "support")]
from demo_shop import Shop, more_sales, past_sales, shop_book, truth  # noqa: E402

from resale.pricing.model.conformal import ENOUGH_SALES  # noqa: E402
from resale.pricing.model.learn import learn, rules_alone  # noqa: E402
from resale.pricing.model.recency import recency_weights  # noqa: E402
from resale.pricing.valuation.price_tables import PriceModel  # noqa: E402
from resale.pricing.valuation.shop_terms import ShopTerms  # noqa: E402
from resale.pricing.valuation.valuer import Valuer  # noqa: E402

BOOK = shop_book()
# Sales to learn from, and how many sets of them.
SIZES = ((0, 1), (100, 6), (400, 6), (1000, 2), (3000, 1))
# Most that the error may be, in noise floors.
TARGETS = {0: 1.5, 400: 1.15, 3000: 1.04}
HELD_OUT = 3
COVERAGE = 0.8
REPORT = Path(__file__).with_name("learning_curve.md")
ABOUT = """\
Error of log price (root mean square; in brackets mean absolute) on {count} held-out sales of the
invented shop, in noise floors: 1 is the error of the generator's own truth, {floor:.4f}
({floor_absolute:.4f}). Inside: share of them in the 80 % band, mean over sets, and in brackets the
lowest and highest set; by kind the lowest and highest mean over sets, of kinds that had
{enough} sales or more to learn from in a third of the sets or more."""


@dataclass(frozen=True)
class Point:
    """What one number of sales gave; a value for each set.

    Attributes
    ----------
    error, absolute : list of float
        In noise floors.
    inside : list of float
        Share of held-out sales in the band.
    by_kind : ndarray, shape (sets, kinds)
        The same for each kind; NaN where too few were sold to have a band of its own.
    """

    sales: int
    error: list[float]
    absolute: list[float]
    inside: list[float]
    by_kind: np.ndarray

    @property
    def kinds_inside(self) -> np.ndarray:
        """Mean over sets of each kind that was sold often enough in a third of them.

        A band of 40 scores holds 80 % give or take 6 %, so a single set says nothing.
        """
        known = (~np.isnan(self.by_kind)).mean(axis=0) >= 1 / 3
        return np.asarray(np.nanmean(self.by_kind[:, known], axis=0))


def held_out() -> Shop:
    """Sales that no model learns from."""
    return more_sales("held out", HELD_OUT)


def sets_of(sales: int, sets: int) -> Iterator[Shop | None]:
    """Yield sets of sales to learn from; None is no sales at all."""
    if sales == 0:
        yield None
        return
    whole = past_sales()
    if sales < len(whole.price):
        order = np.random.default_rng(0).permutation(len(whole.price))
        for start in range(sets):
            yield whole.rows(order[start * sales : (start + 1) * sales])
        return
    yield whole
    for name in ("second", "third", "fourth", "fifth")[: sets - 1]:
        yield more_sales(name)


def as_a_shop_learns(known: Shop) -> PriceModel:
    """Learn as `fit` does: old sales count less, and levels move."""
    weight = recency_weights(known.sold_on, known.sold_on.max())
    return learn(BOOK, known.readings, known.price, weight, sold_on=known.sold_on)


def measure(sales: int, sets: int) -> Point:
    """Learn from each set and judge by the held-out sales."""
    other = held_out()
    floor = np.log(other.price) - other.best
    error, absolute, inside, by_kind = [], [], [], []
    for known in sets_of(sales, sets):
        model = as_a_shop_learns(known) if known else rules_alone(BOOK)
        said = Valuer(BOOK, model, ShopTerms(coverage=COVERAGE)).value(other.readings)
        # Prices are given at the level of today; the sales are of two years.
        level = truth().level(other.sold_on)
        off = np.log(other.price) - level - np.log(said.anchor) - said.level - said.standing
        error.append(_rms(off) / _rms(floor))
        absolute.append(float(np.abs(off).mean() / np.abs(floor).mean()))
        price = other.price / np.exp(level)
        held = (said.low <= price) & (price <= said.high)
        inside.append(float(held.mean()))
        counts = np.bincount(known.readings.kinds, minlength=len(BOOK.kinds)) if known else None
        by_kind.append(
            [
                held[other.readings.kinds == kind].mean()
                if counts is not None and counts[kind] >= ENOUGH_SALES
                else np.nan
                for kind in range(len(BOOK.kinds))
            ]
        )
    return Point(sales, error, absolute, inside, np.array(by_kind))


def _rms(values: np.ndarray) -> float:
    return float(np.sqrt(np.mean(values**2)))


# --- telling --------------------------------------------------------------------------------


def row(point: Point) -> str:
    """One number of sales as a table row."""
    target = f"{TARGETS[point.sales]:.2f}" if point.sales in TARGETS else ""
    kinds = point.kinds_inside
    by_kind = f"{kinds.min():.3f} to {kinds.max():.3f}" if len(kinds) else ""
    return (
        f"| {point.sales} | {len(point.error)} | {np.mean(point.error):.3f} "
        f"({np.mean(point.absolute):.3f}) | {max(point.error):.3f} | {target} "
        f"| {np.mean(point.inside):.3f} ({min(point.inside):.3f} to {max(point.inside):.3f}) "
        f"| {by_kind} |"
    )


def page(points: list[Point], command: str) -> str:
    """Report page."""
    other = held_out()
    floor = np.log(other.price) - other.best
    about = ABOUT.format(
        count=len(other.price),
        floor=_rms(floor),
        floor_absolute=np.abs(floor).mean(),
        enough=ENOUGH_SALES,
    )
    table = [
        "| sales | sets | error | worst set | at most | inside | by kind |",
        "|" + "---|" * 7,
        *map(row, points),
    ]
    day = datetime.datetime.now(datetime.UTC).date().isoformat()
    head = ["# Learning curve on the invented shop", "", about, ""]
    return "\n".join([*head, *table, "", f"Command: `{command}`, {day}.", ""])


def main() -> None:
    """Measure every size and print, or write, the table."""
    parser = argparse.ArgumentParser(description="Learning curve on the invented shop.")
    parser.add_argument("--write", action="store_true", help=f"write {REPORT.name}")
    options = parser.parse_args()
    found = page([measure(*size) for size in SIZES], "python " + " ".join(sys.argv))
    if options.write:
        REPORT.write_text(found, encoding="utf-8")
    print(found)


if __name__ == "__main__":
    main()
