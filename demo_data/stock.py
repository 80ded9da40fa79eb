"""Items that come in: what they truly are, and which signals a sorter had time for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from makers import Makers
from scipy.special import ndtr, ndtri
from streams import stream

from resale.garments.rulebook.readings import codes_that_ask
from resale.garments.rulebook.rule_book import Kind
from resale.garments.rulebook.signals import Signal

Array = npt.NDArray[np.float64]
Codes = npt.NDArray[np.int16]

DOES_NOT_APPLY = -1
NO_LABEL = -1
# How much of an item's make (or wear) one signal shows, as a correlation. Two tells of make then go
# together by 0.35; what is no tell leans on make or wear a little.
TELL_LEAN, LEAN = 0.35**0.5, 0.20
# What is made well is looked at more closely (log odds a standard deviation of make).
CURIOUS = 0.5
LEAN_OF = {"label_standing": 0.40, "fibre_shell": 0.25, "cloth_hand": 0.30}
KNOWN_LABEL, KNOWN_LABEL_IF_UNPLACED = 0.69, 0.20


@dataclass(frozen=True)
class Follows:
    """One signal that goes with another: short sleeves have no cuff.

    Attributes
    ----------
    when : tuple of str
        Options of `given` under which `odds` hold; elsewhere the options are so much rarer that
        over all items they stay as common as the book says.
    """

    signal: str
    given: str
    when: tuple[str, ...]
    odds: Mapping[str, float]


FOLLOWS: Mapping[str, tuple[Follows, ...]] = {
    "shirt": (
        Follows("gauntlet_button", "sleeve_placket", ("short_sleeve",), {"short_sleeve": 1}),
        Follows("shirt_cuff", "sleeve_placket", ("short_sleeve",), {"no_cuff": 1}),
        Follows("shirt_match_sleeve", "pattern_make", ("plain",), {"plain": 1}),
        Follows("shirt_match_placket", "pattern_make", ("plain",), {"plain": 1}),
        Follows("shirt_match_pocket", "pattern_make", ("plain",), {"no_pocket": 1, "plain": 1}),
    ),
    "trousers": (
        Follows("cloth_weave", "denim_or_not", ("denim",), {"twill": 1}),
        Follows(
            "fibre_shell",
            "denim_or_not",
            ("denim",),
            {"cotton": 0.33, "cotton_stretch": 0.60, "cotton_blend": 0.07},
        ),
    ),
    "shoes": (
        Follows(
            "false_welt", "sole_attach", ("goodyear", "storm", "stitch_down", "hand"), {"real": 1}
        ),
    ),
}
# Signals that cannot be answered where another has this option, beyond what the book itself says.
LEFT_OPEN: Mapping[str, Mapping[tuple[str, str], tuple[str, ...]]] = {
    "jacket": {
        ("pattern_make", "plain"): ("pattern_seams", "pattern_pockets"),
        ("fibre_lining", "unlined"): ("lining_make", "lining_state"),
    },
    "trousers": {
        ("pattern_make", "plain"): ("pattern_legs",),
        ("denim_or_not", "denim"): ("crease", "leg_lining"),
    },
    "bag": {("zip_make", "no_zip"): ("zip_run", "zip_size", "zip_pull", "zip_fault")},
}


@dataclass(frozen=True)
class Stock:
    """Items of one kind.

    Attributes
    ----------
    codes : mapping of signal to ndarray, shape (n,)
        What is true of each item, seen or not; -1 where the signal does not apply.
    looked : mapping of signal to ndarray of bool, shape (n,)
    maker : ndarray of int, shape (n,)
        Place among the invented makers; -1 where no label is known.
    make : ndarray, shape (n,)
        How well each item is made (standard normal): nobody sees it, buyers pay for it.
    """

    kind: Kind
    codes: Mapping[str, Codes]
    looked: Mapping[str, npt.NDArray[np.bool_]]
    maker: npt.NDArray[np.intp]
    make: Array


def draw_stock(kind: Kind, count: int, makers: Makers, *, sold: bool) -> Stock:
    """Draw items of a kind; sold ones never have what the book holds back or passes on."""
    name = "sold" if sold else "on hand"
    build, wear = stream(name, kind.id, "latent").standard_normal((2, count))
    chance = {}
    for signal in kind.signals:
        lean = LEAN_OF.get(signal.id, TELL_LEAN if signal.counts == "tell" else LEAN)
        own = stream(name, kind.id, signal.id).standard_normal(count)
        shown = wear if signal.about == "wear" else build
        chance[signal.id] = ndtr(lean * shown + np.sqrt(1 - lean**2) * own)
    codes = {s.id: _options(s, _shares(s, sold=sold), chance[s.id]) for s in kind.signals}
    for follow in FOLLOWS.get(kind.id, ()):
        codes[follow.signal] = _following(kind, follow, codes, chance[follow.signal], sold=sold)
    _leave_open(kind, codes)
    return Stock(
        kind,
        codes,
        _looked(kind, codes, build, name),
        _makers(kind, codes, chance, makers, name),
        build,
    )


def _shares(signal: Signal, *, sold: bool) -> Array:
    share = np.array([option.share for option in signal.options])
    if sold:
        kept = [not (o.gate and o.gate.route in {"hold", "pass_on"}) for o in signal.options]
        share = share * kept
    return np.asarray(share / share.sum())


def _options(signal: Signal, share: Array, chance: Array) -> Codes:
    """Turn uniform numbers into options, from the one that lowers the price most upwards."""
    order = np.argsort([option.effect for option in signal.options], kind="stable")
    ends = np.cumsum(share[order])
    ends[-1] = 1.0
    return order[np.searchsorted(ends, chance)].astype(np.int16)


def _following(
    kind: Kind, follow: Follows, codes: Mapping[str, Codes], chance: Array, *, sold: bool
) -> Codes:
    signal, given = kind.by_id[follow.signal], kind.by_id[follow.given]
    share = _shares(signal, sold=sold)
    within = np.array([float(follow.odds.get(option, 0)) for option in signal.option_ids])
    within /= within.sum()
    part = sum(given.option(option).share for option in follow.when)
    outside = np.maximum(share - part * within, 0.0)
    outside /= outside.sum()
    met = np.isin(codes[follow.given], [given.option_ids.index(o) for o in follow.when])
    return np.where(met, _options(signal, within, chance), _options(signal, outside, chance))


def _leave_open(kind: Kind, codes: dict[str, Codes]) -> None:
    """Mark what does not apply to an item."""
    for signal in kind.signals:
        if signal.only_if:
            wanted = codes_that_ask(kind, signal.only_if)
            codes[signal.id][~np.isin(codes[signal.only_if.signal], wanted)] = DOES_NOT_APPLY
    for (given_id, option), signals in LEFT_OPEN.get(kind.id, {}).items():
        met = codes[given_id] == kind.by_id[given_id].option_ids.index(option)
        for signal_id in signals:
            codes[signal_id][met] = DOES_NOT_APPLY


def looking_chance(kind: Kind) -> dict[str, float]:
    """Chance that a sorter of this shop looks at each signal of a kind.

    Quick signals that tell much come first and wear nearly always; slow questions of make wait
    for a quiet day. Each kind has habits of its own.
    """
    worth = np.array([_spread(signal) / signal.seconds for signal in kind.signals])
    rank = np.argsort(np.argsort(worth)) / (len(worth) - 1)
    habit = stream("habit", kind.id).standard_normal(len(worth))
    chances = {}
    for place, signal in enumerate(kind.signals):
        if signal.about == "wear":
            chance = 0.66 + 0.27 * rank[place]
        elif signal.id in {"label_standing", "fibre_shell", "denim_or_not"}:
            chance = 0.90
        elif signal.seconds >= 8:
            chance = 0.15 + 0.15 * rank[place]
        else:
            chance = 0.20 + 0.60 * rank[place]
        chances[signal.id] = float(np.clip(chance + 0.04 * habit[place], 0.15, 0.95))
    return chances


def _spread(signal: Signal) -> float:
    share = np.array([option.share for option in signal.options])
    log = np.log([option.effect for option in signal.options])
    return float(np.sqrt(share @ (log - share @ log) ** 2))


def _looked(
    kind: Kind, codes: Mapping[str, Codes], make: Array, name: str
) -> dict[str, npt.NDArray[np.bool_]]:
    """Say who looked at what: not by chance alone, for a fine thing is turned over more often."""
    count = len(make)
    hurry = 0.5 * stream(name, kind.id, "hurry").standard_normal(count)
    looked = {}
    for signal_id, chance in looking_chance(kind).items():
        drawn_to = CURIOUS * make * (kind.by_id[signal_id].counts == "tell")
        wanted = 1 / (1 + np.exp(-(np.log(chance / (1 - chance)) + hurry + drawn_to)))
        drawn = stream(name, kind.id, signal_id, "looked").random(count)
        looked[signal_id] = (drawn < wanted) & (codes[signal_id] != DOES_NOT_APPLY)
    for signal in kind.signals:
        if signal.only_if and not signal.only_if.while_open:
            looked[signal.only_if.signal] |= looked[signal.id]
    return looked


def _makers(
    kind: Kind, codes: Mapping[str, Codes], chance: Mapping[str, Array], makers: Makers, name: str
) -> npt.NDArray[np.intp]:
    """Name the maker where a label is left; unplaced labels seldom give one."""
    unplaced = kind.by_id["label_standing"].option_ids.index("unknown")
    known, which = stream(name, kind.id, "maker").random((2, len(codes["label_standing"])))
    wanted = np.where(codes["label_standing"] == unplaced, KNOWN_LABEL_IF_UNPLACED, KNOWN_LABEL)
    drawn = makers.drawn_for(ndtri(chance["label_standing"]), which)
    return np.where(known < wanted, drawn, NO_LABEL)
