"""How soon the next check tells a thing's tier, beside fixed lists: seconds against agreement.

    python tests/benchmarks/next_check_curve.py [--things 60]

Things of the invented shop of which everything is known. Each is looked at sign by sign, the best
check first, and after each look it is asked whether tier and route already are those that all looks
together give, and whether the price is within a tenth. The fixed lists are one order a kind for all
its things: by variance a second, by the gain a second on a thing of which nothing is known, and by
the mean rank that the next check gave each sign on other things; the best of the three is shown.
A look at what a thing does not have costs its seconds and says nothing.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

# Run as a script, only this folder is on the path.
sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1] / "support")]
from demo_shop import past_sales, shop_book, stock_of  # noqa: E402

from resale.garments.rulebook.readings import Readings  # noqa: E402
from resale.garments.rulebook.rule_book import Kind  # noqa: E402
from resale.pricing.model.learn import learn  # noqa: E402
from resale.pricing.valuation.check_prospects import prospects  # noqa: E402
from resale.pricing.valuation.shop_terms import ShopTerms  # noqa: E402
from resale.pricing.valuation.valuer import Valuer  # noqa: E402

BOOK = shop_book()
SHARES = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6)
# Rates of items of one kind, shape (n, signals); minus infinity where a look is not open.
Rates = Callable[[Readings, np.ndarray], np.ndarray]


@dataclass(frozen=True)
class Walk:
    """Looks in order: seconds spent after each, and what was right then; shape (steps, n)."""

    seconds: np.ndarray
    tier: np.ndarray
    both: np.ndarray
    price: np.ndarray
    order: np.ndarray

    def at(self, seconds: float, what: str) -> float:
        """Share that is right after so many seconds."""
        step = (self.seconds <= seconds).sum(axis=0) - 1
        return float(np.take_along_axis(getattr(self, what), step[None, :], axis=0).mean())


def walk(valuer: Valuer, kind: Kind, true: Readings, rates: Rates, share: float) -> Walk:
    """Look until so much of all seconds is spent."""
    columns = valuer.columns[kind.id][: len(kind.signals)]
    seconds = np.array([signal.seconds for signal in kind.signals])
    final = valuer.value(true)
    codes = np.full_like(true.codes, -1)
    done = np.zeros((len(true), len(seconds)), dtype=bool)
    spent, rows = np.zeros(len(true)), np.arange(len(true))
    found: list[tuple[np.ndarray, ...]] = []
    while spent.min() <= share * seconds.sum() and not done.all():
        seen = Readings(true.kinds, codes.copy(), true.labels)
        now = valuer.value(seen)
        off = np.abs(now.standing - final.standing) < np.log(1.1)
        tier = now.tier == final.tier
        rank = np.where(done, -np.inf, rates(seen, done))
        chosen = rank.argmax(axis=1)
        found.append((spent.copy(), tier, tier & (now.route == final.route), off, chosen))
        codes[rows, columns[chosen]] = true.codes[rows, columns[chosen]]
        spent = spent + np.where(done.all(axis=1), np.inf, seconds[chosen])
        done[rows, chosen] = True
    return Walk(*(np.array(part) for part in zip(*found, strict=True)))


def rates_of(valuer: Valuer, kind: Kind, seen: Readings) -> np.ndarray:
    """Gain a second of every check that is open."""
    return prospects(valuer, kind, seen, valuer.value(seen), np.arange(len(seen))).rate


def adaptive(valuer: Valuer, kind: Kind) -> Rates:
    """Order by the next check itself, whatever it would cost."""

    def rates(seen: Readings, done: np.ndarray) -> np.ndarray:
        found = rates_of(valuer, kind, seen)
        # What nothing more is to be gained by comes last, in the order of the hand.
        return np.where(np.isfinite(found), found, -1.0 - np.arange(found.shape[1]))

    return rates


def fixed(order: np.ndarray) -> Rates:
    """One order for all: by falling score of each signal."""
    return lambda seen, done: np.tile(order, (len(seen), 1))


def fixed_lists(valuer: Valuer, kind: Kind, others: Readings) -> dict[str, np.ndarray]:
    """Score of each signal in each fixed list."""
    seconds = np.array([signal.seconds for signal in kind.signals])
    blank = Readings(others.kinds[:1], np.full_like(others.codes[:1], -1), ("",))
    at_first = rates_of(valuer, kind, blank)[0]
    asked = walk(valuer, kind, others, adaptive(valuer, kind), 1.0).order
    ranks = np.zeros(len(seconds))
    for step, chosen in enumerate(asked):
        np.add.at(ranks, chosen, step)
    table = valuer.model.tables[kind.id]
    return {
        "variance": table.says[: len(seconds)] / seconds,
        "first gain": np.where(np.isfinite(at_first), at_first, -1.0),
        "mean rank": -ranks / len(others),
    }


def main() -> None:
    """Print the curve, mean over kinds."""
    options = argparse.ArgumentParser(description="Seconds against agreement of the next check.")
    options.add_argument("--things", type=int, default=60)
    count = options.parse_args().things
    known = past_sales()
    valuer = Valuer(BOOK, learn(BOOK, known.readings, known.price), ShopTerms())
    rows: dict[str, list[list[float]]] = {}
    for kind in BOOK.kinds.values():
        true = stock_of("judged", kind.id, count)
        lists = fixed_lists(valuer, kind, stock_of("others", kind.id, count))
        total = sum(signal.seconds for signal in kind.signals)
        walks = {"next check": walk(valuer, kind, true, adaptive(valuer, kind), SHARES[-1])}
        walks |= {n: walk(valuer, kind, true, fixed(o), SHARES[-1]) for n, o in lists.items()}
        for name, one in walks.items():
            for what in ("tier", "both", "price"):
                curve = [one.at(share * total, what) for share in SHARES]
                rows.setdefault(f"{what}, {name}", []).append(curve)
        print(kind.id, *(f"{n} {w.at(0.4 * total, 'both'):.2f}" for n, w in walks.items()))
    print("| seconds | " + " | ".join(f"{share:.0%}" for share in SHARES) + " |")
    print("|" + "---|" * (len(SHARES) + 1))
    for name, curves in sorted(rows.items()):
        means = np.mean(curves, axis=0)
        print(f"| {name} | " + " | ".join(f"{one:.0%}" for one in means) + " |")


if __name__ == "__main__":
    main()
