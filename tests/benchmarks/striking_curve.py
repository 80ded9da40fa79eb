"""How soon the Bench knows a thing's tier and price: taps against agreement, without a browser.

    python tests/benchmarks/striking_curve.py [--things 400] [--seeds report] [--write]

Things of a harsher make than the model's: signs of make and the label go together at about 0.35 by
a grade that nobody sees (the book takes them for nearly apart), wear goes together by how a thing
was cared for, two answers in a hundred are given wrong and four cannot be told; on the card of what
strikes 15 of 100 are missed. The truth is what the model says of everything, without slips.

*Card first* is what the Bench does: the required looks (two taps), the label, the card (a tap for
each answer picked, one to go on), then the best check again and again, and *Save*. *Next check
alone* leaves the card out. *Most telling first* is out of reach: somebody who knows which of the
thing's own answers moves its price most, and gives that; once without slips, and once with those of
the other ways, which is as far as so few answers can go. *Everything* is the whole list with those
slips. The Bench stops when it says enough. Whatever was tried was tried on the training seeds.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import numpy.typing as npt

# Run as a script, only this folder is on the path.
sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1] / "support")]
from looked_over import FINE  # noqa: E402

from resale.garments.rulebook.readings import Readings, asked_only  # noqa: E402
from resale.garments.rulebook.rule_book import Kind, load_rule_book  # noqa: E402
from resale.garments.rulebook.signals import Signal  # noqa: E402
from resale.pricing.model.learn import rules_alone  # noqa: E402
from resale.pricing.valuation.check_prospects import if_known, prospects  # noqa: E402
from resale.pricing.valuation.shop_terms import ShopTerms  # noqa: E402
from resale.pricing.valuation.striking import Striking, striking_of  # noqa: E402
from resale.pricing.valuation.valuer import Valuer  # noqa: E402
from resale.safety.looks import shipped_looks  # noqa: E402
from resale.safety.required_looks import HOLDING, STANDING, nothing_found  # noqa: E402
from resale.web.bench.next_question import MISSED  # noqa: E402

BOOK = load_rule_book()
VALUER = Valuer(BOOK, rules_alone(BOOK), ShopTerms())
KINDS = list(BOOK.kinds.values())
SEEDS = {"training": (3, 4), "report": (101, 102, 103)}
TAPS = (5, 7, 9, 12, 15, 20, 30)
# The required looks, and Save.
BESIDE = 3
# Loadings of make (its square is how signs go together) and of care; of worths, less.
MAKE, CARE, LESS = 0.6, 0.5, 0.3
WRONG, UNTOLD = 0.02, 0.04
REPORT = Path(__file__).with_name("striking_curve.md")
Codes = npt.NDArray[np.int16]


@dataclass(frozen=True)
class Things:
    """Things of one kind: as they are, as a sorter reads them, and what is known at the start."""

    kind: Kind
    true: Readings
    read: Codes
    begun: Codes
    columns: npt.NDArray[np.intp]

    def valued(self, codes: Codes) -> object:
        """What the model says of them with these answers."""
        return VALUER.value(Readings(self.true.kinds, codes.copy(), self.true.labels))


def chances(signal: Signal, lean: np.ndarray) -> np.ndarray:
    """How likely each answer is to things that lean so far from most of their kind."""
    share = np.array([one.share for one in signal.options])
    effect = np.log([one.effect for one in signal.options])
    effect -= share @ effect / share.sum()
    spread = np.sqrt(share @ effect**2) or 1.0
    weight = share * np.exp(np.clip(lean[:, None] * effect / spread, -6, 6))
    return np.asarray(weight / weight.sum(axis=1, keepdims=True))


def draw(kind: Kind, count: int, seed: int) -> Things:
    """Draw things of one kind."""
    place = KINDS.index(kind)
    rng = np.random.default_rng([seed, place])
    make, care = rng.normal(size=(2, count))
    codes = np.full((count, len(BOOK.signal_ids)), -1, dtype=np.int16)
    begun, read = codes.copy(), codes.copy()
    columns = VALUER.columns[kind.id][: len(kind.signals)]
    must = nothing_found(kind, {"kind": kind.id, "choices": {}, "looks": {}})
    for signal, column in zip(kind.signals, columns, strict=True):
        goes_along = signal.counts == "tell" or signal.id == "label_standing"
        lean = CARE * care if signal.about == "wear" else MAKE * (1 if goes_along else LESS) * make
        below = chances(signal, lean).cumsum(axis=1)
        codes[:, column] = (rng.random((count, 1)) > below).sum(axis=1).clip(0, below.shape[1] - 1)
        fine = FINE.get(signal.id, shipped_looks().nothing.get(signal.id, "none"))
        if signal.id in must and fine in signal.option_ids:
            codes[:, column] = begun[:, column] = signal.option_ids.index(fine)
    kinds = np.full(count, place, dtype=np.intp)
    true = asked_only(BOOK, Readings(kinds, codes, ("",) * count))
    read = true.codes.copy()
    for signal, column in zip(kind.signals, columns, strict=True):
        slips = (rng.random(count) < WRONG) & (read[:, column] >= 0)
        read[slips, column] = rng.integers(0, len(signal.options), slips.sum())
        read[rng.random(count) < UNTOLD, column] = -1
    return Things(kind, true, read, begun, columns)


def picked(things: Things, card: tuple[Striking, ...], most: int, seed: int) -> tuple[Codes, ...]:
    """What is picked on the card with so many taps, the most telling first; and taps left."""
    rng = np.random.default_rng([seed, 7])
    table, ids = VALUER.model.tables[things.kind.id], list(things.kind.by_id)
    alone = table.alone[0] + table.alone[1]
    codes, left = things.begun.copy(), np.full(len(things.true), most - 1)
    # The label is asked before the card.
    standing = BOOK.signal_ids.index(STANDING)
    codes[:, standing] = things.read[:, standing]
    answers = [
        (ids.index(one.signal.id), one.signal.option_ids.index(option.id))
        for one in card
        for option in one.options
    ]
    for at, code in sorted(answers, key=lambda a: -abs(alone[table.starts[a[0]] + a[1]])):
        column = things.columns[at]
        hit = (things.read[:, column] == code) & (left > 0)
        hit &= rng.random(len(hit)) > MISSED
        codes[hit, column] = code
        left = left - hit
    # To go on takes one more.
    return codes, np.maximum(left - 1, 0)


# Taps, and codes with so many taps, of things and their card.
Way = Callable[[Things, tuple[Striking, ...], int, int], Codes]


def card_first(things: Things, card: tuple[Striking, ...], most: int, seed: int) -> Codes:
    """Do what the Bench does."""
    codes, left = picked(things, card, most, seed)
    on_card = np.array([any(one.signal.id == s.id for one in card) for s in things.kind.signals])
    return checked(things, codes, left, np.where(on_card, MISSED, 1.0))


def next_check_alone(things: Things, card: tuple[Striking, ...], most: int, seed: int) -> Codes:
    """Ask the best check again and again."""
    left = np.full(len(things.true), most)
    return checked(things, things.begun.copy(), left, np.ones(len(things.columns)))


def checked(things: Things, codes: Codes, left: np.ndarray, part: np.ndarray) -> Codes:
    """Ask the best check until no tap is left or it is not worth the time."""
    rows, done = np.arange(len(codes)), np.zeros((len(codes), len(part)), dtype=bool)
    for _ in range(int(left.max(initial=0))):
        seen = Readings(things.true.kinds, codes.copy(), things.true.labels)
        found = prospects(VALUER, things.kind, seen, VALUER.value(seen), rows)
        worth = found.still & ~done & (part * found.gain > found.cost)
        rate = np.where(worth, part * found.rate, -np.inf)
        chosen = rate.argmax(axis=1)
        asks = (left > 0) & np.isfinite(rate.max(axis=1))
        at = things.columns[chosen[asks]]
        codes[rows[asks], at] = things.read[rows[asks], at]
        done[rows[asks], chosen[asks]] = True
        left = left - asks
    return codes


def most_telling(things: Things, card: tuple[Striking, ...], most: int, seed: int) -> Codes:
    """Give the answer that moves the price most, again and again: nobody knows which that is."""
    kind, codes, rows = things.kind, things.begun.copy(), np.arange(len(things.true))
    options, table = VALUER.options[kind.id], VALUER.model.tables[kind.id]
    known = things.true.codes[:, things.columns]
    for _ in range(most):
        seen = Readings(things.true.kinds, codes, things.true.labels)
        own = VALUER.with_extras(seen)[:, VALUER.columns[kind.id]]
        found = VALUER.contributions(kind.id, own)
        effect, _ = if_known(options, table.slope, found, BOOK.book.further_wear)
        at = options.starts[None, :] + np.maximum(known, 0)
        moves = np.abs(np.take_along_axis(effect, at, axis=1))
        is_open = (known >= 0) & (own[:, : known.shape[1]] < 0)
        chosen = np.where(is_open, moves, -1.0).argmax(axis=1)
        codes[rows, things.columns[chosen]] = known[rows, chosen]
    return codes


def most_telling_slipped(things: Things, card: tuple[Striking, ...], most: int, seed: int) -> Codes:
    """Give the answer that moves the price most, as a sorter reads it."""
    as_read = Readings(things.true.kinds, things.read, things.true.labels)
    return most_telling(replace(things, true=as_read), card, most, seed)


def everything(things: Things, card: tuple[Striking, ...], most: int, seed: int) -> Codes:
    """Look at everything, whatever the taps."""
    return things.read


WAYS: dict[str, Way] = {
    "next check alone": next_check_alone,
    "card first": card_first,
    "most telling first": most_telling,
    "most telling first, with slips": most_telling_slipped,
    "everything, with slips": everything,
}


def reached(way: Way, taps: int, count: int, seeds: tuple[int, ...]) -> tuple[float, float]:
    """Share of things whose tier is right, and by how much the price is off in the middle."""
    tier, off = [], []
    for kind in KINDS:
        card = striking_of(VALUER, kind, HOLDING | kind.holding | {STANDING})
        for seed in seeds:
            things = draw(kind, count, seed)
            final = VALUER.value(things.true)
            codes = way(things, card, taps - BESIDE, seed)
            now = VALUER.value(Readings(things.true.kinds, codes, things.true.labels))
            tier.append((now.tier == final.tier).mean())
            off.append(np.median(np.abs(np.expm1(now.standing - final.standing))))
    return float(np.mean(tier)), float(np.mean(off))


def table_of(count: int, seeds: tuple[int, ...], ways: Iterable[str] = WAYS) -> str:
    """Write what each way reaches."""
    lines = [
        "| taps, with the required looks and *Save* | " + " | ".join(map(str, TAPS)) + " |",
        "|" + "---|" * (len(TAPS) + 1),
    ]
    for name in ways:
        found = [reached(WAYS[name], taps, count, seeds) for taps in TAPS]
        lines.append(
            f"| tier the same, {name} | " + " | ".join(f"{t:.0%}" for t, _ in found) + " |"
        )
        lines.append(f"| price off, {name} | " + " | ".join(f"{o:.0%}" for _, o in found) + " |")
    return "\n".join(lines)


def main() -> None:
    """Print the curve."""
    options = argparse.ArgumentParser(description="Taps against agreement, without a browser.")
    options.add_argument("--things", type=int, default=400)
    options.add_argument("--seeds", choices=SEEDS, default="report")
    options.add_argument("--way", choices=WAYS, action="append", help="one way alone")
    options.add_argument("--write", action="store_true", help=f"write {REPORT.name}")
    given = options.parse_args()
    table = table_of(given.things, SEEDS[given.seeds], given.way or WAYS)
    print(table)
    if given.write:
        REPORT.write_text(f"# Taps against agreement\n\n{__doc__}\n\n{table}\n")


if __name__ == "__main__":
    main()
