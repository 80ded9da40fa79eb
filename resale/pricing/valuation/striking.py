"""What strikes at a glance: the answers of a kind that are rare, and that move a price far.

Asked sign by sign, a sorter says 'as usual' most of the time, and the one thing that sets the item
apart comes late. Whoever holds it sees that thing at once. So the answers that would say most are
laid out together, and the sorter picks those that are there.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from resale.garments.rulebook.rule_book import Kind
from resale.garments.rulebook.signals import Option, Signal
from resale.pricing.valuation.valuer import Valuer

MOST = 72
"""Answers on one card."""
# What most things have is no news; what moves a price less is not worth a place.
MOST_SHARE, LEAST_EFFECT = 0.5, 0.05
# A longer look is no glance, and neither is what is counted or measured; a label is read.
GLANCE = 8.0
_READ = frozenset({"fibres"})


@dataclass(frozen=True)
class Striking:
    """One sign with those of its answers that strike, in the book's order."""

    signal: Signal
    options: tuple[Option, ...]


def striking_of(
    valuer: Valuer, kind: Kind, leaving_out: frozenset[str] = frozenset(), most: int = MOST
) -> tuple[Striking, ...]:
    """Choose the answers that say most: their share times the square of their log effect alone.

    Parameters
    ----------
    valuer : Valuer
    kind : Kind
    leaving_out : frozenset of str
        Ids of signs that are asked otherwise.
    most : int
        Answers to choose at most.

    Returns
    -------
    tuple of Striking
        In the order of the hand.
    """
    table = valuer.model.tables[kind.id]
    alone = table.alone[0] + table.alone[1]
    worth: list[tuple[float, int, int]] = []
    for place, signal in enumerate(kind.signals):
        if signal.id in leaving_out or not _is_seen_at_a_glance(signal):
            continue
        share = np.array([option.share for option in signal.options])
        effect = alone[table.starts[place] : table.starts[place + 1]]
        says = np.where(share / share.sum() < MOST_SHARE, share * effect**2, 0.0)
        says = np.where(np.abs(effect) < LEAST_EFFECT, 0.0, says)
        worth += [(float(one), place, code) for code, one in enumerate(says) if one > 0]
    chosen = {(place, code) for _, place, code in sorted(worth, reverse=True)[:most]}
    return tuple(
        Striking(signal, options)
        for place, signal in enumerate(kind.signals)
        if (options := tuple(o for c, o in enumerate(signal.options) if (place, c) in chosen))
    )


def _is_seen_at_a_glance(signal: Signal) -> bool:
    if signal.only_if is not None or signal.seconds > GLANCE:
        return False
    return signal.measure is None or signal.measure.by in _READ
