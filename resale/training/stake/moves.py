"""What it moves when one sign is misread: price, tier and hold, for every pair of its answers.

Which answers are taken for each other is not known beforehand. Until readings tell, neighbours of
a ladder or a finding are mixed up sooner than its ends, and answers that are both common sooner
than rare ones: an author's opinion, which every reading that was set right corrects.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr

from resale.garments.rulebook.rule_book import Kind
from resale.garments.rulebook.signals import Option, Signal
from resale.pricing.model.columns.terms import Array
from resale.pricing.valuation.price_tables import KindTable
from resale.pricing.valuation.valuer import Valuer

NEIGHBOURS = 1.5
"""Steps of a ladder over which the chance of a mix-up falls to a third (opinion)."""

OTHERS_READ = 0.5
"""Part of the other signs of make that stand beside a sign when it is read (opinion)."""

Holding = Mapping[str, frozenset[str]]
"""Answers that hold an item, by sign."""


@dataclass(frozen=True)
class Moves:
    """One sign of one kind, over pairs of its answers: what is true, and what was read.

    Attributes
    ----------
    options : tuple of str
    mistaken : ndarray, shape (options, options)
        Chance of each pair where the sign was misread; sums to 1, its diagonal is 0.
    money : ndarray, shape (options, options)
        By how much the price is wrong then, whichever way (major units). Where one of the two
        holds the item or passes it on and the other does not, the whole price is at stake.
    tiers : ndarray, shape (options, options)
        How many tiers it is moved by, on average over things of the kind.
    holds : ndarray of bool, shape (options, options)
        Whether one of the two holds the item and the other lets it go on.
    variety : float
        Chance that two things differ in this sign: what never differs is hardly misread.
    met : float
        Part of things of the kind on which it is asked.
    price : float
        Of an ordinary thing of the kind by now (major units).
    """

    options: tuple[str, ...]
    mistaken: Array
    money: Array
    tiers: Array
    holds: npt.NDArray[np.bool_]
    variety: float
    met: float
    price: float


def moves_of(valuer: Valuer, kind: Kind, holding: Holding) -> dict[str, Moves]:
    """Lay out what misreading each sign of a kind moves.

    Parameters
    ----------
    valuer : Valuer
        By the prices in use.
    kind : Kind
    holding : mapping of sign to frozenset of str
        Answers that hold an item.

    Returns
    -------
    dict of sign to Moves
    """
    table = valuer.model.tables[kind.id]
    effects = _beside_others(table)
    price = table.anchor * float(np.exp(table.level))
    spread = float(np.sqrt(table.says.sum()))
    found = {}
    for place, signal in enumerate(kind.signals):
        logs = effects[table.starts[place] : table.starts[place + 1]]
        held = _differ(_held(signal, holding.get(signal.id, frozenset())))
        stopped = held | _differ(_passed_on(signal))
        share = np.array([one.share for one in signal.options])
        share = share / share.sum()
        prices = price * np.exp(logs)
        found[signal.id] = Moves(
            signal.option_ids,
            _mistaken(signal, share),
            np.where(stopped, price, np.abs(prices[:, None] - prices[None, :])),
            _tiers(valuer.starts, logs, spread),
            held,
            float(1 - (share**2).sum()),
            _met(kind, signal),
            price,
        )
    return found


def _beside_others(table: KindTable) -> Array:
    """Log effect of each option where half of what else tells of make was read too.

    A sign of make says less the more others are read, and on a bench some always are.
    """
    weight = table.tell_weight[1]
    beside = 1 + weight + (weight.sum() - weight) * OTHERS_READ
    return np.asarray(table.rules + table.sales + table.points[1] / beside[table.signal_of])


def _held(signal: Signal, raises: frozenset[str]) -> npt.NDArray[np.bool_]:
    return np.array([one.id in raises or _route(one) == "hold" for one in signal.options])


def _passed_on(signal: Signal) -> npt.NDArray[np.bool_]:
    return np.array([_route(one) == "pass_on" for one in signal.options])


def _route(option: Option) -> str:
    return (option.gate.route or "") if option.gate else ""


def _differ(stops: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
    return np.asarray(stops[:, None] != stops[None, :])


def _mistaken(signal: Signal, share: Array) -> Array:
    """Chance of each mix-up before any reading told, given that there is one."""
    common = np.sqrt(share[:, None] * share[None, :])
    if signal.shape != "choice":
        place = _places(signal)
        common = common * np.exp(-np.abs(place[:, None] - place[None, :]) / NEIGHBOURS)
    np.fill_diagonal(common, 0.0)
    return np.asarray(common / common.sum())


def _places(signal: Signal) -> Array:
    """Where each answer stands on the ladder; the two places of a finding lie side by side."""
    if signal.shape == "ladder":
        return np.arange(len(signal.options), dtype=float)
    return np.array(
        [float(one.id.rpartition("_")[2]) if "_" in one.id else 0.0 for one in signal.options]
    )


def _tiers(starts: Array, logs: Array, spread: float) -> Array:
    """Tiers between two answers, over normally spread things: boundaries that are crossed."""
    below = ndtr((starts[None, :] - logs[:, None]) / max(spread, 1e-9))
    return np.asarray(np.abs(below[:, None, :] - below[None, :, :]).sum(axis=2))


def _met(kind: Kind, signal: Signal) -> float:
    """Part of things on which the sign is asked, by how common the answers it hangs on are."""
    asked = signal.only_if
    if asked is None:
        return 1.0
    other = kind.by_id[asked.signal]
    total = sum(one.share for one in other.options)
    return sum(one.share for one in other.options if one.id in asked.options) / total
