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
from resale.pricing.model.columns.terms import Array
from resale.pricing.model.conformal import Scores

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
        """Read the gates of a kind off its options; labels and seasons have none.

        Parameters
        ----------
        book : RuleBook
        kind : Kind
        extras : int
            Labels and seasons that the model knows, which stand behind the options.

        Returns
        -------
        Gates
        """
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


@dataclass(frozen=True)
class Bounds:
    """Between which tiers an item may stand, whatever it costs: 0 is the best.

    Attributes
    ----------
    cap : ndarray of int, shape (n,)
        Best tier allowed: gates, and what wear is too much for.
    floor : ndarray of int, shape (n,)
        Lowest tier allowed: what is not worn enough for. A cap below it holds.
    """

    cap: Index
    floor: Index

    def clip(self, tier: Index) -> Index:
        """Bring tiers within the bounds."""
        return np.asarray(np.maximum(np.minimum(tier, self.floor), self.cap), dtype=np.intp)


def bounds_of(book: RuleBook, cap: Index, wear: Array) -> Bounds:
    """Say which tiers are open to items: a tier says what a thing is, not what it costs.

    Parameters
    ----------
    book : RuleBook
    cap : ndarray of int, shape (n,)
        Best tier that the gates allow.
    wear : ndarray, shape (n,)
        Log factor of all signs of wear together.

    Returns
    -------
    Bounds
    """
    factor = np.exp(wear)
    open_at = np.array([tier.wear_at_least for tier in book.book.tiers])
    worn = np.array([np.inf if t.wear_below is None else t.wear_below for t in book.book.tiers])
    # The best tier is the first that bears so much wear; the lowest, the last that needs no more.
    best = (factor[:, None] < open_at).sum(axis=1)
    lowest = len(worn) - 1 - (factor[:, None] >= worn).sum(axis=1)
    return Bounds(np.maximum(cap, best), lowest)


def tier_of(standing: Array, starts: Array, bounds: Bounds) -> Index:
    """Tier of each log standing, within its bounds.

    Parameters
    ----------
    standing : ndarray, shape (n,) or (n, options)
    starts : ndarray, shape (tiers - 1,)
        Log standings at which tiers begin.
    bounds : Bounds
        Of the shape of `standing`.

    Returns
    -------
    ndarray of int
        Of the shape of `standing`.
    """
    return bounds.clip(np.searchsorted(-starts, -standing, side="left"))


def tier_chances(
    standing: Array,
    spread: Array,
    starts: Array,
    bounds: Bounds,
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
    bounds : Bounds
        Tiers that are open to each item.
    scores : Scores
        Left-out residuals of past sales, that the band rests on too.
    group : int
        Place of the kind.
    coverage : float
        Share of sales that the band should hold.

    Returns
    -------
    ndarray, shape (n, tiers)
        Rows sum to 1; what the bounds forbid falls to the tier at the bound.
    """
    at = (starts[None, :] - standing[:, None]) / spread[:, None]
    above = 1 - scores.below(group, at, coverage)
    edges = np.hstack([np.zeros((len(standing), 1)), above, np.ones((len(standing), 1))])
    chance = np.maximum(np.diff(edges, axis=1), 0.0)
    capped = np.zeros_like(chance)
    lands = np.maximum(
        np.minimum(np.arange(chance.shape[1]), bounds.floor[:, None]), bounds.cap[:, None]
    )
    np.add.at(capped, (np.arange(len(chance))[:, None], lands), chance)
    return capped
