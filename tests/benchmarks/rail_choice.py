"""How near the choice for a rail comes to its bound, and how long it takes, idle and busy.

    python tests/benchmarks/rail_choice.py

Two thousand invented items, three rails, wishes as the screen has them and hard bounds besides.
Busy is twice as many endless loops as the machine has cores. Times are given as ratios to the
relaxation alone on an idle machine, as the machine's own speed then cancels out; and the longest
in seconds, since a person waits for it.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import numpy as np

from resale.selling.rail.balance import Bound, RailItem, rail_width
from resale.selling.rail.knapsack import RailPlan, plan_rail

ITEMS = 2000
KINDS = ("jacket", "shirt", "trousers", "shoes", "bag")
LENGTHS = (600.0, 2000.0, 6000.0)
SEEDS = (1, 2, 3)
# The longest that a person waits, in seconds, and the gap that needs no word.
LONGEST = 5.0
UNSAID = 0.001
WISHES = [Bound(kind, most=0.25, share=True, penalty=300) for kind in KINDS] + [
    Bound(kind, size, most=0.07, share=True, penalty=300) for kind in KINDS for size in "SML"
]
HARD = [
    Bound("shoes", least=10, most=40),
    Bound("shirt", least=0.2, most=0.5, share=True),
    Bound("jacket", least=20),
    Bound(size="S", least=0.3, share=True, penalty=200),
]


@dataclass(frozen=True)
class Run:
    """One choice and the seconds that it took."""

    plan: RailPlan
    seconds: float


def back_room(seed: int, many: int = ITEMS) -> list[RailItem]:
    """Invented items: kinds as a shop may have them, gains spread as prices are."""
    rng = np.random.default_rng(seed)
    kinds = rng.choice(KINDS, many, p=[0.35, 0.2, 0.2, 0.1, 0.15])
    gains = np.round(rng.lognormal(6.2, 0.7, many) - 150)
    return [
        RailItem(
            f"R-{place:05d}",
            str(kind),
            "SML"[int(rng.integers(3))],
            float(gains[place]),
            round(float(rail_width(kind) * rng.uniform(0.8, 1.3)), 1),
        )
        for place, kind in enumerate(kinds)
    ]


def _turn() -> None:
    while True:
        pass


@contextmanager
def busy_machine() -> Iterator[None]:
    """Keep every core busy twice over."""
    loops = [
        multiprocessing.Process(target=_turn, daemon=True) for _ in range(2 * (os.cpu_count() or 1))
    ]
    for loop in loops:
        loop.start()
    try:
        yield
    finally:
        for loop in loops:
            loop.terminate()
            loop.join()


def timed(items: list[RailItem], length: float, bounds: list[Bound], **how: float) -> Run:
    """Choose, and take the time."""
    begun = time.perf_counter()
    plan = plan_rail(items, length, bounds, **how)
    return Run(plan, time.perf_counter() - begun)


def runs() -> list[Run]:
    """Choose for every rail, back room and set of bounds."""
    return [
        timed(back_room(seed), length, bounds)
        for seed in SEEDS
        for length in LENGTHS
        for bounds in (WISHES, HARD)
    ]


def relaxation() -> float:
    """Seconds that rounding alone takes, the least of three."""
    return min(timed(back_room(1), 2000.0, WISHES, seconds=0.0).seconds for _ in range(3))


def main() -> None:
    """Print one line for the idle and one for the busy machine."""
    argparse.ArgumentParser(description=__doc__).parse_args()
    unit = relaxation()
    print(f"rounding alone takes 1 ({unit:.3f} s here)")
    for name, found in (("idle", runs()), ("busy", _busy())):
        gaps = np.array([run.plan.gap for run in found])
        took = np.array([run.seconds for run in found])
        said = sum(bool(run.plan.said_gap) for run in found)
        print(
            f"{name}: {len(found)} choices, median time {np.median(took) / unit:.1f}, longest "
            f"{took.max() / unit:.1f} ({took.max():.2f} s); gap median {np.median(gaps):.2%}, "
            f"largest {gaps.max():.2%}; said in words for {said}, needed for "
            f"{int((gaps > UNSAID).sum())}"
        )


def _busy() -> list[Run]:
    with busy_machine():
        return runs()


if __name__ == "__main__":
    main()
