"""What the learned plan gains or loses against the habit where sales slow with age on the rail.

    python tests/benchmarks/slowing_sales.py

An invented shop hangs things at the estimate, give or take a tenth, and marks them 25 and 50
percent off, whatever it learns. The rate is multiplied by one number in the first fortnight (or
month) and by another after; buyers see in each thing 0.3 (log) more or less than the estimate.
The plan is learned from that past and both are judged by the truth, not by what was learned. The
truth of the second table lies outside of what is believed before: buyers who mind a price far
less, or far more.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np

# Run as a script, only this folder is on the path.
sys.path.insert(0, str(Path(__file__).parents[1] / "support"))
import simulated_rail
from simulated_rail import KINDS, past_of, some_goods, true_net

from resale.pricing.valuation.shop_terms import ShopTerms
from resale.selling.markdown.demand import learn_demand
from resale.selling.markdown.plan import compare
from resale.selling.markdown.terms import SellingTerms
from resale.selling.markdown.trial import try_plan

TERMS, SHOP = SellingTerms(), ShopTerms()
FADES = ((2.0, 0.5), (1.5, 0.7), (1.3, 0.8), (1.0, 1.0), (2.0, 2.0, 0.5), (1.5, 1.5, 0.7))
SIZES = (50, 150, 500, 2000)
SEEDS = range(12)
# The most that a learned plan may lose against the habit.
MOST_LOST = 0.01
GOODS = some_goods(np.random.default_rng(99), 100)[0]


@dataclass(frozen=True)
class Outcome:
    """One shop: what the plan truly gains against the habit, what it promised, how its trial went.

    Attributes
    ----------
    gain, promised, offered : float
        As shares of what the habit brings; `offered` is 0 where the trial held the plan back.
    """

    gain: float
    promised: float
    offered: float


def outcome(fade: tuple[float, ...], items: int, seed: int) -> Outcome:
    """Let a shop hang things, learn, plan, and be judged."""
    past = past_of(np.random.default_rng(seed), items, TERMS, SHOP, fade)
    both = compare(learn_demand(past, KINDS), GOODS, TERMS, SHOP)
    trial = try_plan(past, KINDS, GOODS, TERMS, SHOP)
    shown = trial.offered(both)
    plan, habit, offer = (
        float(true_net(GOODS, way.tickets, TERMS, fade).sum())
        for way in (both.plan, both.habit, shown.plan)
    )
    return Outcome(plan / habit - 1, both.gain_share, offer / habit - 1)


def table(elasticity: np.ndarray) -> list[str]:
    """Rows of one truth."""
    simulated_rail.ELASTICITY = elasticity
    rows = []
    for fade in FADES:
        for items in SIZES:
            found = [outcome(fade, items, seed) for seed in SEEDS]
            gain = np.array([one.gain for one in found])
            offered = np.array([one.offered for one in found])
            promised = np.array([one.promised for one in found])
            rows.append(
                f"| {', '.join(f'{part:g}' for part in fade)} | {items} | {gain.min():+.1%} "
                f"| {gain.mean():+.1%} | {offered.min():+.1%} | {offered.mean():+.1%} "
                f"| {promised.mean():+.1%} |"
            )
            print(rows[-1], flush=True)
    return rows


def main() -> None:
    """Print the tables."""
    global SEEDS, SIZES
    options = argparse.ArgumentParser(description="Gain of the learned plan where sales slow.")
    options.add_argument("--seeds", type=int, default=len(SEEDS))
    options.add_argument("--sizes", type=int, nargs="+", default=list(SIZES))
    chosen = options.parse_args()
    SEEDS, SIZES = range(chosen.seeds), tuple(chosen.sizes)
    usual = simulated_rail.ELASTICITY
    for name, elasticity in (
        ("elasticity 2 to 3", usual),
        ("elasticity 1.2 to 1.8", 0.6 * usual),
        ("elasticity 3.2 to 4.8", 1.6 * usual),
    ):
        print(f"\n{name}")
        print(
            "| rate by period | things | worst | mean | worst offered | mean offered | promised |"
        )
        print("|" + "---|" * 7, flush=True)
        table(elasticity)


if __name__ == "__main__":
    main()
