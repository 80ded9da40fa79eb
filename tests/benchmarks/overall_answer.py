"""What one overall answer on make or wear could add to nine taps, at the very best.

    python tests/benchmarks/overall_answer.py [--things 300] [--seeds report] [--write]

'How well is it made, all in all?' is asked of the things of `striking_curve.py`, once more than its
nine taps, for nothing. Five grades; whoever answers feels the make that nobody sees, with an error
of their own for a person (0.4 standard deviations) and one for each thing (0.8): a reliability of
0.56, which is *moderate* by Koo and Li 2016 (Journal of Chiropractic Medicine 15(2), 155-163; from
memory). The errors are opinions. The wear is asked likewise, of all faults together.

What is known is then weighed as well as it can be after the event: by least squares on the true
prices of the very things that are judged, which no shop could. So each row is the most that its
answers can do, whatever a model made of them. The first rows show how far that goes by itself.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from striking_curve import (
    BESIDE,
    BOOK,
    HOLDING,
    KINDS,
    SEEDS,
    STANDING,
    VALUER,
    Readings,
    card_first,
    draw,
    striking_of,
)

TAPS = 9
PERSON, THING = 0.4, 0.8
CUTS, GRADES = (-1.3, -0.5, 0.5, 1.3), np.array([-1.8, -0.9, 0.0, 0.9, 1.8])
REPORT = Path(__file__).with_suffix(".md")
Array = np.ndarray


def graded(felt: Array, rng: np.random.Generator) -> Array:
    """Five grades of what somebody feels, who is one person for all things of a kind."""
    said = felt + PERSON * rng.normal() + THING * rng.normal(size=len(felt))
    return GRADES[np.digitize(said / np.sqrt(1 + PERSON**2 + THING**2), CUTS)]


def best_weighed(known: tuple[Array, ...], true: Array) -> float:
    """How far the price is off in the middle, with the weights that would have fitted best."""
    columns = np.column_stack([np.ones(len(true)), *known])
    weights = np.linalg.lstsq(columns, true, rcond=None)[0]
    return float(np.median(np.abs(np.expm1(columns @ weights - true))))


def of_kind(place: int, count: int, seed: int) -> Iterator[tuple[str, float]]:
    """How far the price of things of one kind is off, by what is known of them."""
    kind, rng = KINDS[place], np.random.default_rng([seed, place, 1])
    card = striking_of(VALUER, kind, HOLDING | kind.holding | {STANDING})
    things = draw(kind, count, seed)
    # The first that `draw` takes from its generator.
    make = np.random.default_rng([seed, place]).normal(size=(2, count))[0]
    full = VALUER.value(things.true)
    codes = card_first(things, card, TAPS - BESIDE, seed)
    now = VALUER.value(Readings(things.true.kinds, codes, things.true.labels))
    slope = VALUER.model.tables[kind.id].slope
    worn, wears = now.found[kind.id].wear, full.found[kind.id].wear
    seen = (slope * now.make, worn, now.standing - slope * now.make - worn)
    overall = graded(make, rng)
    worn_overall = graded((wears - wears.mean()) / (wears.std() or 1.0), rng)
    true = full.standing
    yield (
        "nine taps, as the Bench weighs them",
        float(np.median(np.abs(np.expm1(now.standing - true)))),
    )
    yield "nine taps", best_weighed(seen, true)
    yield "and one overall answer on make", best_weighed((*seen, overall), true)
    yield "and one on wear besides", best_weighed((*seen, overall, worn_overall), true)
    yield "and the unseen make itself", best_weighed((*seen, make), true)
    yield "and all signs of make", best_weighed((*seen, slope * full.make), true)
    yield "and all signs of make and wear", best_weighed((*seen, slope * full.make, wears), true)


def table_of(count: int, seeds: tuple[int, ...]) -> str:
    """Write how far the price is off, in the middle over kinds and seeds."""
    found: dict[str, list[float]] = {}
    for place in range(len(BOOK.kinds)):
        for seed in seeds:
            for known, off in of_kind(place, count, seed):
                found.setdefault(known, []).append(off)
    lines = ["| known | price off |", "|---|---|"]
    return "\n".join([*lines, *(f"| {one} | {np.mean(off):.1%} |" for one, off in found.items())])


def main() -> None:
    """Print the table."""
    options = argparse.ArgumentParser(description="What one overall answer could add.")
    options.add_argument("--things", type=int, default=300)
    options.add_argument("--seeds", choices=SEEDS, default="report")
    options.add_argument("--write", action="store_true", help=f"write {REPORT.name}")
    given = options.parse_args()
    table = table_of(given.things, SEEDS[given.seeds])
    print(table)
    if given.write:
        REPORT.write_text(f"# What one overall answer could add\n\n{__doc__}\n\n{table}\n")


if __name__ == "__main__":
    main()
