"""A made-up chain: its sales in Parquet, fitted and valued, here and by workers, with times.

    python tests/benchmarks/chain.py FOLDER --sales 1000000 --shops 20 --workers 2

Everything is invented: labels are syllables, buyers follow a truth of their own (a shop's level, a
shop's ways with some labels, signs that do otherwise than the rule book says). The same program
makes ten million sales; a run says how long each part took and the most memory it held. With
`--by-file` each shop hands its sales over as CSV, and they are brought in from there.
"""

from __future__ import annotations

import argparse
import json
import resource
import sys
import time
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

import numpy as np

from resale.garments.rulebook.readings import Readings
from resale.garments.rulebook.rule_book import RuleBook, load_rule_book
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer
from resale.services.chain.bring_sales import bring_sales
from resale.services.chain.fit_chain import ChainFit, fit_chain
from resale.services.chain.value_chain import PieceValuer, value_chain
from resale.storage.warehouse.parquet import ROWS, Sold, as_table, write_pieces
from resale.storage.warehouse.workers import local_workers

TODAY, HALF_LIFE, LABELS = np.datetime64("2026-10-01"), 365.0, 300
FIRST, SECOND = ("Ul", "Ve", "Or", "Ta", "Mi", "Ko"), ("mba", "nti", "rro", "ske", "ldu")


def labels() -> np.ndarray:
    """Invented names, the most common first."""
    made = [f"{a}{b}{c}" for a in FIRST for b in SECOND for c in ("ch", "bix", "n", "ra", "sel")]
    return np.array([f"{name} {n // len(made) + 1}" for n, name in enumerate(made * 2)][:LABELS])


def shop_sales(book: RuleBook, shop: int, count: int) -> Iterator[Sold]:
    """Sales of one shop, a lot at a time."""
    truth = np.random.default_rng(1)
    level = truth.normal(0, 0.15, 100)[shop]
    of_label = truth.normal(0, 0.3, LABELS)
    own = np.random.default_rng(1000 + shop).normal(0, 0.1, LABELS)
    rng = np.random.default_rng([7, shop])
    names, kinds = labels(), tuple(book.kinds.values())
    effects = [
        {s.id: np.log([o.effect for o in s.options]) * truth.uniform(0.2, 0.7) for s in k.signals}
        for k in kinds
    ]
    for start in range(0, count, ROWS):
        size = min(ROWS, count - start)
        kind = rng.integers(0, len(kinds), size)
        codes = np.full((size, len(book.signal_ids)), -1, dtype=np.int16)
        log = np.log([one.text.anchor for one in kinds])[kind] + level
        for place, one in enumerate(kinds):
            rows = np.flatnonzero(kind == place)
            for signal in one.signals:
                share = np.array([option.share for option in signal.options])
                drawn = rng.choice(len(share), len(rows), p=share / share.sum())
                log[rows] += effects[place][signal.id][drawn] - effects[place][signal.id] @ share
                looked = rng.random(len(rows)) < 0.4
                codes[rows, book.signal_ids.index(signal.id)] = np.where(looked, drawn, -1)
        label = np.minimum(rng.geometric(0.02, size) - 1, LABELS - 1)
        log += of_label[label] + own[label] + 0.3 * rng.standard_t(6, size)
        days = TODAY - rng.integers(1, 1000, size).astype("timedelta64[D]")
        readings = Readings(kind.astype(np.intp), codes, tuple(names[label].tolist()))
        price = np.maximum(np.round(np.exp(log), 2), 0.5)
        yield Sold(readings, (f"Shop {shop + 1:02d}",) * size, price, days)


def make(folder: Path, book: RuleBook, shops: int, sales: int) -> None:
    """Write the chain, a file a shop."""
    folder.mkdir(parents=True, exist_ok=True)
    for shop in range(shops):
        path = folder / f"shop-{shop + 1:02d}.parquet"
        if not path.exists():
            write_pieces(path, shop_sales(book, shop, sales // shops), book)


def hand_over(folder: Path, book: RuleBook, shops: int, sales: int) -> None:
    """Write what each shop hands over: its sales as CSV, with the headings of the README."""
    arrow, csv = import_module("pyarrow"), import_module("pyarrow.csv")
    folder.mkdir(parents=True, exist_ok=True)
    for shop in range(shops):
        writer = None
        for sold in shop_sales(book, shop, sales // shops):
            table = as_table(sold, book).drop_columns(["shop", "looked"])
            words = [name for name in table.column_names if name not in {"sold_on", "price"}]
            for name in words:
                cells = table.column(name).cast(arrow.string())
                table = table.set_column(table.column_names.index(name), name, cells)
            if writer is None:
                writer = csv.CSVWriter(folder / f"shop-{shop + 1:02d}.csv", table.schema)
            writer.write_table(table)
        if writer is not None:
            writer.close()


def bring(files: Path, folder: Path, book: RuleBook) -> None:
    """Bring every shop's file in, as `resale chain bring` does."""
    for file in sorted(files.glob("*.csv")):
        name = file.stem.replace("shop-", "Shop ")
        came, refused = bring_sales(file, name, folder, book, files / f"{file.stem}-back.csv")
        print(f"{name}: {came:,} came in, {refused:,} did not", flush=True)


class Clock:
    """Prints how long each part took, by the wall and of this process's own work."""

    def __init__(self, sales: int) -> None:
        self.sales = sales
        self.begin()

    def begin(self) -> None:
        """Count from now."""
        self.wall, self.own = time.perf_counter(), time.process_time()

    def lap(self, name: str) -> None:
        """Print a part, and count from now."""
        wall, own = time.perf_counter() - self.wall, time.process_time() - self.own
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
        rate = f"{self.sales / wall:10,.0f} sales/s"
        print(f"{name:26s} {wall:8.1f} s {rate}  own work {own:8.1f} s  most {memory:.2f} GB")
        sys.stdout.flush()
        self.begin()


def value(folder: Path, book: RuleBook, found: ChainFit, out: Path, client=None) -> None:
    valuers = {shop: Valuer(book, model, ShopTerms()) for shop, model in found.models().items()}
    value_chain(folder, PieceValuer(book, valuers, out), client)


def lay_out(asked: argparse.Namespace, book: RuleBook, clock: Clock) -> None:
    """Have the chain's sales there; what was brought in before stays as it is."""
    if not asked.by_file:
        make(asked.folder, book, asked.shops, asked.sales)
        clock.lap("made")
    elif not asked.folder.exists():
        files = asked.folder.with_name(f"{asked.folder.name}-handed-over")
        hand_over(files, book, asked.shops, asked.sales)
        clock.lap("made as CSV")
        bring(files, asked.folder, book)
        clock.lap("brought in")


def by_workers(asked: argparse.Namespace, book: RuleBook, clock: Clock) -> ChainFit:
    """Fit and value by workers of this machine."""
    with local_workers(asked.workers) as client:
        clock.begin()
        apart = fit_chain(asked.folder, book, TODAY, HALF_LIFE, client)
        clock.lap(f"fitted by {asked.workers} workers")
        value(asked.folder, book, apart, asked.folder / "values-by-workers", client)
        clock.lap(f"valued by {asked.workers} workers")
    work = resource.getrusage(resource.RUSAGE_CHILDREN)
    print(f"own work of the workers {work.ru_utime + work.ru_stime:,.0f} s", flush=True)
    return apart


def main() -> None:
    """Run all parts."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("folder", type=Path)
    options.add_argument("--sales", type=int, default=1_000_000)
    options.add_argument("--shops", type=int, default=20)
    options.add_argument("--workers", type=int, default=2)
    options.add_argument("--by-file", action="store_true", help="handed over as CSV, brought in")
    options.add_argument("--by-workers-alone", action="store_true", help="not here as well")
    options.add_argument("--kinds", help="only these kinds of the book, with commas")
    asked = options.parse_args()
    book = load_rule_book()
    if asked.kinds:
        book = book.of(asked.kinds.split(","))
    clock = Clock(asked.sales)
    lay_out(asked, book, clock)
    here = None if asked.by_workers_alone else fit_chain(asked.folder, book, TODAY, HALF_LIFE)
    if here is not None:
        clock.lap("fitted here, in lots")
        columns, noise = len(here.fitted.encoder.doubt), here.fitted.noise
        print(f"{columns:,} columns, noise {noise:.4f}", flush=True)
        value(asked.folder, book, here, asked.folder / "values")
        clock.lap("valued here, in lots")
    apart = by_workers(asked, book, clock) if asked.workers else None
    if here is not None and apart is not None:
        off = np.abs(here.fitted.weights.both - apart.fitted.weights.both).max()
        print(json.dumps({"largest difference of a coefficient": float(off)}))
    same_values(asked.folder)


def same_values(folder: Path) -> None:
    """Say how far the values of both ways lie apart, where both are there."""
    parquet = import_module("pyarrow.parquet")
    apart, count = 0.0, 0
    for one in sorted((folder / "values").glob("*.parquet")):
        other = folder / "values-by-workers" / one.name
        if other.exists():
            ours, theirs = (
                parquet.read_table(path).column("estimate").to_numpy() for path in (one, other)
            )
            apart, count = max(apart, float(np.abs(ours / theirs - 1).max())), count + len(ours)
    if count:
        print(f"{count:,} things: values lie {apart:.1e} apart at most")


if __name__ == "__main__":
    main()
