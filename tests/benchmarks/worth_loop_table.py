"""The loop of twelve quarters: what estimates and net become where a shop learns from itself.

    python tests/benchmarks/worth_loop_table.py

Four hundred things a quarter, tickets at the estimate give or take a tenth, marks by habit, and
buyers who never change. The truth is harsher than the model (see `tests/support/worth_loop.py`).
Net is against what tickets at the true worth would have brought with the same luck, and against
the first quarter's.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

# Run as a script, only this folder is on the path.
sys.path.insert(0, str(Path(__file__).parents[1] / "support"))
from worth_loop import Buyers, Year, run_loop

from resale.selling.worth.regression import WorthOpinion

TRUE = np.array([np.log(28), 0.4, 0.3, -0.3, 0.2, -0.5, 0.25])
WRONG = TRUE + np.array([0, -0.1, 0.15, 0.1, -0.2, 0.1, 0])
DOUBT = np.array([0.3, *[0.25] * 6])
TRUTHS = {
    "rate halves in 40 days": Buyers(TRUE),
    "rate halves in 15 days": Buyers(TRUE, halving=15.0),
    "rate stays": Buyers(TRUE, halving=None),
    "things far apart": Buyers(TRUE, unevenness=0.5),
    "elasticity 3.5": Buyers(TRUE, elasticity=3.5),
    "elasticity 1.3": Buyers(TRUE, elasticity=1.3),
}
SEEDS = (1, 2, 3)
# How far the geometric mean of estimates may lie from worth, and the net that is kept.
MOST_OFF = 0.08
# The quarter from which on both are asked: the first estimates are the book's own.
LEARNED = 2


def loop(buyers: Buyers, start: float, seed: int, by_sales_alone: bool = False) -> Year:
    """Run one shop whose book is off by `start` (log) on average."""
    opinion = WorthOpinion(WRONG + np.r_[start, np.zeros(6)], DOUBT)
    return run_loop(buyers, opinion, seed=seed, by_sales_alone=by_sales_alone)


def main() -> None:
    """Print a row for each truth."""
    print(
        "| truth | way | lowest, highest estimate / worth | last | net, least / at worth | last |"
    )
    print("|" + "---|" * 6)
    for name, buyers in TRUTHS.items():
        for way, alone in (("worth", False), ("sale prices alone", True)):
            years = [loop(buyers, start, s, alone) for s in SEEDS for start in (0.0, 0.25)]
            later = np.array([year.estimate[LEARNED:] for year in years])
            net = np.array([year.net[LEARNED:] for year in years])
            print(
                f"| {name} | {way} | {later.min():.2f} to {later.max():.2f} "
                f"| {later[:, -1].mean():.2f} | {net.min():.2f} | {net[:, -1].mean():.2f} |",
                flush=True,
            )


if __name__ == "__main__":
    main()
