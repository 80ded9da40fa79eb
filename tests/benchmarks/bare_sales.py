"""How near prices come with bare sales: kind, label, price and date, and no sign at all.

python tests/benchmarks/bare_sales.py            (two minutes; --write for the table)
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import dataclass
from itertools import product
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from resale.garments.rulebook.readings import NOT_LOOKED_AT, Readings
from resale.garments.rulebook.rule_book import RuleBook, load_rule_book
from resale.pricing.model.columns.terms import Array
from resale.pricing.model.learn import learn
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer

SIZES = (20, 50, 100, 200, 500, 1000, 4000)
SETS, ASKED = 4, 2000
# Labels of a shop, and how far what they do lies apart (standard deviation of log price).
SHOPS = {"many labels": (40, 0.45), "few labels far apart": (8, 0.8)}
NOISE, SLIPS, DRIFT = 0.28, 0.02, 0.06
ABOUT = """\
The till is harsher than the model: kinds stand far from the book's anchors, a few labels make most
of the sales and most make few (Zipf), what a label does differs from kind to kind, labels keep to
kinds of their own (those that sell much sell dear), all prices drift, one in fifty is a slip of the
pen, and noise has heavy tails. The rival is the plain mean of log price by kind and label, where
neither sold the mean of the kind, else of everything. Errors are root mean squares of log price
against what a further sale brings without slips; the floor is that of whoever knows the truth."""
REPORT = Path(__file__).with_name("bare_sales.md")


@dataclass(frozen=True)
class Till:
    """What a shop's past is drawn from: the truth in logs, and how often each thing sells."""

    effect: Array
    often: Array

    @classmethod
    def of(cls, book: RuleBook, labels: int, apart: float, dice: np.random.Generator) -> Till:
        """Draw a shop: kinds far from the book, labels that differ from kind to kind."""
        kinds = len(book.kinds)
        anchor = np.log([kind.text.anchor for kind in book.kinds.values()])
        level = anchor + dice.normal(0, 0.5, kinds) + dice.normal(0, 0.3)
        rank = np.arange(1, labels + 1)
        # What sells much is what is known for its price: rank and effect go together.
        label = dice.normal(0, apart, labels) + 0.3 * (1 - rank / rank.mean())
        own = dice.normal(0, 0.2, (kinds, labels))
        likes = dice.lognormal(0, 1, (kinds, labels)) / rank
        return cls(level[:, None] + label + own, likes / likes.sum())

    def sell(self, count: int, dice: np.random.Generator) -> tuple[Array, Array, Array, Array]:
        """Kind, label and day of so many sales, and their prices in logs without slips."""
        cell = dice.choice(self.often.size, count, p=self.often.ravel())
        kind, label = np.divmod(cell, self.often.shape[1])
        day = np.sort(dice.integers(0, 730, count))
        noise = dice.standard_t(5, count) * NOISE / np.sqrt(5 / 3)
        return kind, label, day, self.effect[kind, label] + noise


def errors(
    book: RuleBook, shop: str, sales: int, seed: int, slips: float
) -> tuple[float, float, float]:
    """Error of ours, of the plain mean, and of whoever knows the truth."""
    dice = np.random.default_rng((seed, sales))
    till = Till.of(book, *SHOPS[shop], dice)
    kind, label, day, log = till.sell(sales, dice)
    log = log + DRIFT * (day - 730) / 365
    slipped = dice.random(sales) < slips
    log = log + slipped * np.log(10) * dice.choice([-1, 1], sales)
    asked_kind, asked_label, _, truth = till.sell(ASKED, dice)
    sold_on = np.datetime64("2024-01-01") + day
    model = learn(book, bare(book, kind, label), np.exp(log), sold_on=sold_on)
    ours = Valuer(book, model, ShopTerms()).value(bare(book, asked_kind, asked_label))
    guess = np.log(ours.anchor) + ours.level + ours.standing
    mean = plain_mean(kind, label, log, asked_kind, asked_label)
    best = till.effect[asked_kind, asked_label]
    return _rms(truth - guess), _rms(truth - mean), _rms(truth - best)


def bare(book: RuleBook, kind: Array, label: Array) -> Readings:
    """Items of which nothing but the label was read."""
    codes = np.full((len(kind), len(book.signal_ids)), NOT_LOOKED_AT, np.int16)
    return Readings(kind.astype(np.intp), codes, tuple(f"Invented {one}" for one in label))


def plain_mean(kind: Array, label: Array, log: Array, at_kind: Array, at_label: Array) -> Array:
    """Mean by kind and label, else by kind, else of all."""
    shape = max(kind.max(), at_kind.max()) + 1, max(label.max(), at_label.max()) + 1
    total, count = np.zeros(shape), np.zeros(shape)
    np.add.at(total, (kind, label), log)
    np.add.at(count, (kind, label), 1)
    with np.errstate(invalid="ignore"):
        both, own = total / count, total.sum(axis=1) / count.sum(axis=1)
    own = np.where(np.isnan(own), log.mean(), own)
    found = both[at_kind, at_label]
    return np.where(np.isnan(found), own[at_kind], found)


def _rms(values: Array) -> float:
    return float(np.sqrt(np.mean(values**2)))


def table(sizes: tuple[int, ...], sets: int) -> str:
    """One line for each number of sales, mean over sets; without slips of the pen and with."""
    book = load_rule_book()
    lines = [
        "| shop | slips | sales | ours | plain mean | truth known | ours / plain mean |",
        "|---|---|---|---|---|---|---|",
    ]
    for shop, slips, sales in product(SHOPS, (0.0, SLIPS), sizes):
        found = [errors(book, shop, sales, seed, slips) for seed in range(sets)]
        ours, mean, best = np.mean(found, axis=0)
        figures = f"{ours:.3f} | {mean:.3f} | {best:.3f} | {ours / mean:.2f}"
        lines.append(f"| {shop} | {slips:.0%} | {sales:,} | {figures} |")
        print(lines[-1], file=sys.stderr, flush=True)
    return "\n".join(lines)


def main() -> None:
    """Print the table, or write it."""
    parser = argparse.ArgumentParser(description=ABOUT.split("\n", maxsplit=1)[0])
    parser.add_argument("--sizes", type=int, nargs="+", default=SIZES)
    parser.add_argument("--sets", type=int, default=SETS)
    parser.add_argument("--write", action="store_true", help=f"write {REPORT.name}")
    given = parser.parse_args()
    found = table(tuple(given.sizes), given.sets)
    if given.write:
        made = "Made by `python tests/benchmarks/bare_sales.py --write`."
        REPORT.write_text(f"# Bare sales\n\n{made}\n\n{ABOUT}\n\n{found}\n")
    else:
        print(found)


if __name__ == "__main__":
    main()
