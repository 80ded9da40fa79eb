"""What really moves prices in the invented shop: the rule book's opinions, a little otherwise.

The regression is meant to find this out from the sales. Three things set the shop apart from the
book: every opinion is off by some part of its own doubt, prices stand at another level in each
kind, and the people who shop here have tastes (`TASTES`) that the book cannot know. Order is
kept throughout: a worse grade, or more of a fault, never raises a price.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
from makers import NAMES, Makers, invented_makers
from streams import SEED, stream

from resale.garments.rulebook.rule_book import Kind, RuleBook
from resale.garments.rulebook.signals import EXTENTS, Signal

Array = npt.NDArray[np.float64]
Codes = npt.NDArray[np.int16]

NOISE = 0.30
SHARED_PART, OWN_PART, TASTE_PART = 0.5, 0.3, 2.5
ANCHOR_LEAST, ANCHOR_MOST = 0.85, 1.30
SEASON_SWING, SEASON_PEAK_DAY = 0.03, 319
# Prices of all things rise by so much a year, and wander besides from quarter to quarter (log).
RISE_A_YEAR, WANDER = 0.06, 0.03
QUARTERS = ("2024-4", *(f"{year}-{quarter}" for year in (2025, 2026) for quarter in range(1, 5)))
MAKE_LEAST, MAKE_MOST = 0.75, 1.25
# A further fault counts so much of the worse one before it.
FURTHER_FAULT = 0.40
EVERY_KIND = ""


@dataclass(frozen=True)
class Taste:
    """Something wanted, or not wanted, here and not in the book.

    Attributes
    ----------
    sign : int
        1 where it raises the price over the book's opinion, -1 where it lowers it.
    places : tuple of (kind, signal, option)
        Where it acts; on a ladder or a finding, on the step into that option.
    """

    sentence: str
    sign: int
    places: tuple[tuple[str, str, str], ...]

    def acts_on(self, kind: str, signal: str, option: str) -> bool:
        """Whether the taste moves this option."""
        return any((k, signal, option) in self.places for k in (kind, EVERY_KIND))


TASTES = (
    Taste("Selvedge denim is wanted.", 1, (("trousers", "denim_selvedge", "selvedge"),)),
    Taste(
        "Welted and stitched dress shoes find few feet.",
        -1,
        (("shoes", "sole_attach", "goodyear"), ("shoes", "sole_attach", "blake")),
    ),
    Taste("Canvas bags go to school.", 1, (("bag", "bag_material", "canvas"),)),
    Taste("Linen shirts are asked for by name.", 1, (("shirt", "fibre_shell", "linen"),)),
    Taste("Old labels draw collectors.", 1, ((EVERY_KIND, "label_era", "older_label"),)),
    Taste("Nobody here wears a suit.", -1, (("jacket", "set_whole", "two_piece"),)),
    Taste("An elastic waist is a comfort.", 1, (("trousers", "waist_closure", "elastic"),)),
    Taste(
        "Faded trousers are liked nearly as well as fresh ones.",
        -1,
        (("trousers", "fading", "grade_4"), ("trousers", "fading", "grade_5")),
    ),
    Taste(
        "A small hole in trousers may show.",
        1,
        (("trousers", "hole", "seen_1"), ("trousers", "hole", "seen_2")),
    ),
)


@dataclass(frozen=True)
class Truth:
    """What the shop's customers really pay for.

    Attributes
    ----------
    anchor : mapping of kind to float
        Price of an average item, in the shop's currency.
    effect : mapping of (kind, signal) to ndarray
        Log effect of each option, in the order of the book, on any common origin.
    mean : mapping of (kind, signal) to float
        The same, weighted by how common the options are in the book; taken off, so that an
        average item stands at its anchor.
    makers : Makers
    book : RuleBook
    make : mapping of kind to float
        Log price that one standard deviation of make moves.
    levels : mapping of quarter to float
        Log level of all prices; 0 in the newest quarter.
    """

    anchor: Mapping[str, float]
    effect: Mapping[tuple[str, str], Array]
    mean: Mapping[tuple[str, str], float]
    makers: Makers
    book: RuleBook
    make: Mapping[str, float]
    levels: Mapping[str, float]

    def standing(self, kind: Kind, codes: Mapping[str, Codes], make: Array) -> Array:
        """Log of how far items stand above an average one by all that they are, shape (n,).

        Make is paid for once, however many signs tell of it; each tell has only a little of its
        own besides: what the shop's customers think otherwise than the book. Faults count less
        beside a worse one.

        Parameters
        ----------
        kind : Kind
        codes : mapping of signal to ndarray, shape (n,)
            What is true of each item, or as much of it as is known; -1 counts as average.
        make : ndarray, shape (n,)
            How well each item is made, or is expected to be.
        """
        total = self.make[kind.id] * make
        faults = []
        for signal in kind.signals:
            known = codes[signal.id] >= 0
            here = np.where(known, self.worth(kind, signal)[codes[signal.id]], 0.0)
            if signal.about == "wear":
                faults.append(here)
            else:
                total = total + here
        return np.asarray(total + _worn(np.array(faults).T))

    def worth(self, kind: Kind, signal: Signal) -> Array:
        """What each option does by itself, less its mean; of a tell, only what is its own."""
        share = np.array([option.share for option in signal.options])
        log = self.effect[kind.id, signal.id]
        if signal.counts == "tell":
            log = log - np.log([option.effect for option in signal.options])
        return np.asarray(log - share @ log / share.sum())

    def level(self, day: npt.NDArray[np.datetime64]) -> Array:
        """Log level of all prices on each day."""
        months = day.astype("datetime64[M]").astype(int)
        names = [f"{1970 + month // 12}-{month % 12 // 3 + 1}" for month in months.tolist()]
        return np.array([self.levels[name] for name in names])

    def season(self, day_of_year: Array) -> Array:
        """What the time of the year adds to log price: a little more in autumn."""
        turn = 2 * np.pi * (day_of_year - SEASON_PEAK_DAY) / 365.25
        return np.asarray(SEASON_SWING * np.cos(turn))


def make_truth(book: RuleBook) -> Truth:
    """Depart from the book, the same way every time."""
    pairs = [(kind, signal) for kind in book.kinds.values() for signal in kind.signals]
    _check_tastes(book)
    users = {s.id: sum(s.id in kind.by_id for kind in book.kinds.values()) for _, s in pairs}
    effect = {(k.id, s.id): _effect(k, s, shared=users[s.id] > 1) for k, s in pairs}
    share = {(k.id, s.id): np.array([option.share for option in s.options]) for k, s in pairs}
    mean = {place: float(share[place] @ effect[place]) for place in effect}
    return Truth(
        {kind.id: _anchor(kind) for kind in book.kinds.values()},
        effect,
        mean,
        invented_makers(),
        book,
        {kind.id: _make(kind) for kind in book.kinds.values()},
        _levels(),
    )


def _make(kind: Kind) -> float:
    """How much make moves prices here: the book's opinion, a quarter either way."""
    place = stream("make", kind.id).random()
    return round((kind.text.make or 0.0) * (MAKE_LEAST + (MAKE_MOST - MAKE_LEAST) * place), 4)


def _levels() -> dict[str, float]:
    """Let the level of all prices rise and wander, and end at 0."""
    steps = RISE_A_YEAR / 4 + WANDER * stream("level").standard_normal(len(QUARTERS))
    level = np.cumsum(steps)
    return dict(zip(QUARTERS, np.round(level - level[-1], 4).tolist(), strict=True))


def _worn(effect: Array) -> Array:
    """Sum the signs of wear, worst first, each further one less; good order by the same rule."""
    counts = FURTHER_FAULT ** np.arange(effect.shape[1])
    worse = np.sort(np.minimum(effect, 0.0), axis=1) @ counts
    better = np.sort(np.minimum(-effect, 0.0), axis=1) @ counts
    return np.asarray(worse - better)


def _check_tastes(book: RuleBook) -> None:
    """Stop where the book no longer has what a taste is about."""
    for taste in TASTES:
        for kind_id, signal_id, option_id in taste.places:
            kinds = [book.kinds[kind_id]] if kind_id else list(book.kinds.values())
            if not any(
                option_id in k.by_id[signal_id].option_ids for k in kinds if signal_id in k.by_id
            ):
                raise KeyError(f"the book has no {kind_id} {signal_id} {option_id}: mend TASTES")


def _anchor(kind: Kind) -> float:
    place = stream("anchor", kind.id).random()
    return round(kind.text.anchor * (ANCHOR_LEAST + (ANCHOR_MOST - ANCHOR_LEAST) * place), 2)


def _effect(kind: Kind, signal: Signal, *, shared: bool) -> Array:
    log: Array = np.log(np.array([option.effect for option in signal.options]))
    doubt = np.array([option.doubt for option in signal.options])
    parts = SHARED_PART * stream("effect", signal.id).standard_normal(len(log))
    if shared:
        parts += OWN_PART * stream("effect", kind.id, signal.id).standard_normal(len(log))
    parts += [_taste(kind.id, signal.id, option.id) for option in signal.options]
    log, shift = _to_four(log), _to_four(doubt * parts)
    if signal.shape == "finding":
        return _finding(log, shift)
    if signal.shape == "ladder":
        return _chain(log, shift, lowest=0.0, highest=np.inf)
    return _to_four(log + shift)


def _taste(kind: str, signal: str, option: str) -> float:
    return TASTE_PART * sum(t.sign for t in TASTES if t.acts_on(kind, signal, option))


def _chain(log: Array, shift: Array, *, lowest: float, highest: float) -> Array:
    """Shift every step, but never past the point where the order would turn."""
    steps = np.clip(np.diff(log) + shift[1:], lowest, highest)
    return _to_four(log[0] + np.append(0.0, np.cumsum(steps)))


def _finding(log: Array, shift: Array) -> Array:
    """None, hidden 1 to 5, seen 1 to 5: how far it goes, and what being seen costs besides."""
    anywhere, where_seen = slice(1, EXTENTS + 1), slice(EXTENTS + 1, 2 * EXTENTS + 1)
    hidden = _chain(
        log[: EXTENTS + 1], np.append(0.0, shift[anywhere]), lowest=-np.inf, highest=0.0
    )
    besides = np.append(0.0, log[where_seen] - log[anywhere])
    extra = _chain(besides, np.append(0.0, shift[where_seen]), lowest=-np.inf, highest=0.0)
    return _to_four(np.append(hidden, hidden[1:] + extra[1:]))


def _to_four(values: Array) -> Array:
    return np.asarray(np.round(values, 4), dtype=np.float64)


def written(truth: Truth, book: RuleBook) -> dict[str, Any]:
    """Everything for `truth.json`, with effects by kind, signal and option."""
    makers = truth.makers
    return {
        "invented": True,
        "seed": SEED,
        "rule_book": book.version,
        "noise": NOISE,
        "season": {"swing": SEASON_SWING, "peak_day": SEASON_PEAK_DAY},
        "anchors": dict(truth.anchor),
        "make": dict(truth.make),
        "levels": dict(truth.levels),
        "labels": {
            name: {"effect": float(makers.effect[i]), "share": round(float(makers.share[i]), 5)}
            for i, name in enumerate(NAMES)
        },
        "tastes": [
            {
                "sentence": taste.sentence,
                "sign": taste.sign,
                "places": [list(p) for p in taste.places],
            }
            for taste in TASTES
        ],
        "effects": {
            kind.id: {
                signal.id: dict(
                    zip(signal.option_ids, truth.effect[kind.id, signal.id].tolist(), strict=True)
                )
                for signal in kind.signals
            }
            for kind in book.kinds.values()
        },
    }
