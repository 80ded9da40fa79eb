"""Which tier an item stands in, with what chance, and what gates allow.

The tier compares the item with the average of its kind: the product of all factors but the
anchor. Gates (a hole where it shows, mould, a broken sole) cap the tier or force a route whatever
the price says.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from resale.garments.rulebook.rule_book import Kind, RuleBook
from resale.garments.rulebook.signals import Gate
from resale.pricing.model.conformal import Scores
from resale.pricing.model.terms import Array

Index = npt.NDArray[np.intp]

# From the mildest to the strictest; where several gates speak, the strictest is followed.
ROUTES = ("put_out", "mend_first", "pass_on", "hold")


@dataclass(frozen=True)
class Gates:
    """Gates of one kind as arrays over its options, with a neutral entry at the end.

    Attributes
    ----------
    cap : ndarray of int, shape (options + 1,)
        Best tier allowed (0 is the best of all).
    route : ndarray of int, shape (options + 1,)
        Place in `ROUTES`.
    """

    cap: Index
    route: Index

    @classmethod
    def of(cls, book: RuleBook, kind: Kind, extras: int) -> Gates:
        """Read the gates of a kind off its options; labels and seasons have none."""
        tiers = [tier.id for tier in book.book.tiers]
        gates = [option.gate for signal in kind.signals for option in signal.options]
        neutral: list[Gate | None] = [None] * (extras + 1)
        return cls(
            np.array([_cap(gate, tiers) for gate in gates + neutral], dtype=np.intp),
            np.array([_route(gate) for gate in gates + neutral], dtype=np.intp),
        )


def _cap(gate: Gate | None, tiers: list[str]) -> int:
    return tiers.index(gate.tier_cap) if gate and gate.tier_cap else 0


def _route(gate: Gate | None) -> int:
    return ROUTES.index(gate.route) if gate and gate.route else 0


def tier_starts(book: RuleBook) -> Array:
    """Log standing at which each tier but the lowest begins, from the best down."""
    return np.log([tier.from_standing for tier in book.book.tiers[:-1]])


def tier_of(standing: Array, starts: Array, cap: Index) -> Index:
    """Tier of each log standing, no better than its cap; shape of `standing`."""
    plain = np.searchsorted(-starts, -standing, side="left")
    return np.asarray(np.maximum(plain, cap), dtype=np.intp)


def tier_chances(
    standing: Array,
    spread: Array,
    starts: Array,
    cap: Index,
    scores: Scores,
    group: int,
    coverage: float,
) -> Array:
    """Chance that the sale lands in each tier, given the same distribution as the band.

    Parameters
    ----------
    standing, spread : ndarray, shape (n,)
        Log standing and its expected spread.
    starts : ndarray, shape (tiers - 1,)
        Log standings at which tiers begin.
    cap : ndarray of int, shape (n,)
        Best tier that the gates allow.
    scores : Scores
        Left-out residuals of past sales, that the band rests on too.
    group : int
        Place of the kind.
    coverage : float
        Share of sales that the band should hold.

    Returns
    -------
    ndarray, shape (n, tiers)
        Rows sum to 1; what a cap forbids falls to the capped tier.
    """
    at = (starts[None, :] - standing[:, None]) / spread[:, None]
    above = 1 - scores.below(group, at, coverage)
    edges = np.hstack([np.zeros((len(standing), 1)), above, np.ones((len(standing), 1))])
    chance = np.maximum(np.diff(edges, axis=1), 0.0)
    tiers = np.arange(chance.shape[1])
    forbidden = tiers[None, :] < cap[:, None]
    moved = np.where(forbidden, chance, 0.0).sum(axis=1)
    chance = np.where(forbidden, 0.0, chance)
    chance[np.arange(len(chance)), cap] += moved
    return chance
