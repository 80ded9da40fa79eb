"""Money at stake: what a person's misreading of each sign costs this shop in a hundred things."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from resale.pricing.model.columns.terms import Array
from resale.training.stake.misread import Misread
from resale.training.stake.moves import Moves

A_HOLD = 10.0
"""Ordinary things that one let past a hold is counted as: it can cost the rack beside it, or a
person (opinion). It puts safety first without hiding what it was put before."""

PRIOR_PAIRS = 3.0
"""Mix-ups that the opinion of which answers are mixed up weighs as much as."""


@dataclass(frozen=True, slots=True)
class Stake:
    """One sign, for one person at one shop.

    Attributes
    ----------
    met : float
        Of a hundred things, on how many it is asked.
    misread : float
        Of a hundred things, on how many this person is expected to misread it.
    money : float
        What that moves in price in a hundred things (major units).
    tiers : float
        Tiers that a hundred things are put off by.
    holds : float
        Of a hundred things, how many are let pass that should wait, or the other way.
    weight : float
        By which signs are put in order: money, and what the holds are counted as (major units).
    known : Misread
        What that rests on.
    pair : tuple of (str, str)
        What is taken for what at the greatest cost: true, read.
    kind : str
        Where it costs most.
    """

    sign: str
    met: float
    misread: float
    money: float
    tiers: float
    holds: float
    weight: float
    known: Misread
    pair: tuple[str, str]
    kind: str

    @property
    def each(self) -> float:
        """What one misreading moves on average (major units)."""
        return self.money / self.misread if self.misread else 0.0


@dataclass(frozen=True, slots=True)
class _Part:
    """One sign in one kind."""

    kind: str
    met: float
    misread: float
    money: float
    tiers: float
    holds: float
    price: float
    pair: tuple[str, str]


def stakes_of(
    moves: Mapping[str, Mapping[str, Moves]],
    kinds: Mapping[str, float],
    known: Mapping[str, Misread],
) -> dict[str, Stake]:
    """Work out what is at stake on each sign, the dearest first.

    Parameters
    ----------
    moves : mapping of kind to mapping of sign to Moves
    kinds : mapping of kind to float
        How many things of each the shop meets; any unit.
    known : mapping of sign to Misread
        What is known of the person.

    Returns
    -------
    dict of sign to Stake
    """
    total = sum(count for kind, count in kinds.items() if kind in moves) or 1.0
    parts: dict[str, list[_Part]] = {}
    for kind, count in kinds.items():
        for sign, move in moves.get(kind, {}).items():
            what = known.get(sign, Misread())
            parts.setdefault(sign, []).append(_part(kind, 100 * count / total, move, what))
    found = [_joined(sign, many, known.get(sign, Misread())) for sign, many in parts.items()]
    return {one.sign: one for one in sorted(found, key=lambda one: (-one.weight, one.sign))}


def _part(kind: str, things: float, move: Moves, known: Misread) -> _Part:
    mistaken = _mistaken(move, known)
    met = things * move.met
    misread = met * known.far(move.variety) * move.variety
    costs = mistaken * (move.money + A_HOLD * move.price * move.holds)
    true, read = np.unravel_index(int(costs.argmax()), costs.shape)
    return _Part(
        kind,
        met,
        misread,
        misread * float((mistaken * move.money).sum()),
        misread * float((mistaken * move.tiers).sum()),
        misread * float((mistaken * move.holds).sum()),
        move.price,
        (move.options[int(true)], move.options[int(read)]),
    )


def _mistaken(move: Moves, known: Misread) -> Array:
    """Chance of each mix-up: the opinion, and what this person's readings say."""
    counted = move.mistaken * PRIOR_PAIRS
    place = {option: at for at, option in enumerate(move.options)}
    for (true, read), weight in known.pairs.items():
        if true in place and read in place:
            counted[place[true], place[read]] += weight
    return np.asarray(counted / counted.sum())


def _joined(sign: str, parts: list[_Part], known: Misread) -> Stake:
    dearest = max(parts, key=lambda one: one.money)
    return Stake(
        sign,
        sum(one.met for one in parts),
        sum(one.misread for one in parts),
        sum(one.money for one in parts),
        sum(one.tiers for one in parts),
        sum(one.holds for one in parts),
        sum(one.money + one.holds * A_HOLD * one.price for one in parts),
        known,
        dearest.pair,
        dearest.kind,
    )
