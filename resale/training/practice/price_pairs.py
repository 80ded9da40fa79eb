"""Pairs of options whose prices lie far enough apart that one may ask which brings more."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, product
from math import log

from resale.garments.rulebook.rule_book import Kind
from resale.garments.rulebook.signals import NONE, Option, Signal, finding_place

CLEAR, CLOSE, ACROSS = 0.25, 0.08, 0.12
"""Gaps in log price: plain to see; close but certain; between two different signals."""

HARDEST = 3
"""The level that asks across two signals."""


def pairs(kind: Kind, signal: Signal, level: int) -> list[tuple[Option, Option, Signal]]:
    """Pairs of options that the level allows, with the signal that the second belongs to.

    Parameters
    ----------
    kind : Kind
        Whose opinions decide which of two is worth more.
    signal : Signal
        What differs within a pair.
    level : int
        1 for options plainly apart in price, 2 for close ones, 3 for one option of this signal
        against one of another.
    """
    if level == HARDEST:
        return list(_across(kind, signal))
    apart = [
        (one, other, signal)
        for one, other in combinations(_askable(signal), 2)
        if _gap(one, other) >= CLOSE
    ]
    fitting = [row for row in apart if (_gap(row[0], row[1]) >= CLEAR) == (level == 1)]
    # A signal whose options all lie close, or all far apart, asks what it has.
    return fitting or apart


def _across(kind: Kind, signal: Signal) -> Iterator[tuple[Option, Option, Signal]]:
    """Pairs of one option of this signal and one of another."""
    for rival in kind.signals:
        if rival.id == signal.id or rival.only_if is not None:
            continue
        for one, other in product(_askable(signal), _askable(rival)):
            if ACROSS <= _gap(one, other) <= CLEAR:
                yield one, other, rival


def _askable(signal: Signal) -> Sequence[Option]:
    """Options worth a question; of a finding only some extents, or it would swamp the rest."""
    if signal.shape != "finding":
        return signal.options
    return [
        option
        for option in signal.options
        if option.id == NONE or finding_place(option.id)[1] in {1, 3, 5}
    ]


def _gap(one: Option, other: Option) -> float:
    return abs(log(one.effect / other.effect))


def has_pairs(kind: Kind, signal: Signal, level: int) -> bool:
    """Whether the level has any pair for this signal.

    Parameters
    ----------
    kind : Kind
        Whose opinions decide which of two is worth more.
    signal : Signal
        What differs within a pair.
    level : int
        1 to 3.
    """
    if level == HARDEST:
        return next(_across(kind, signal), None) is not None
    return bool(pairs(kind, signal, level))
