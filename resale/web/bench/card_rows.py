"""How the card of what strikes is laid out: which of its signs share a row.

A row is four cells wide on a phone, and the first holds the sign's name. A sign with one answer
takes two of them; one with two or four answers takes two as well, its name above. So two signs with
as many answers lie side by side, and the card needs fewer turns of the thumb.
"""

from __future__ import annotations

from collections.abc import Iterable

from resale.pricing.valuation.striking import Striking

HALVES = frozenset({1, 2, 4})
"""How many answers fill half a row without a gap."""

Row = tuple[Striking, ...]


def card_rows(striking: Iterable[Striking]) -> tuple[Row, ...]:
    """Pair the signs that share a row; the later of two comes up to the earlier.

    Otherwise the order of the hand stays. A sign that finds no other has a row for itself.
    """
    rows: list[list[Striking]] = []
    waiting: dict[int, list[Striking]] = {}
    for one in striking:
        answers = len(one.options)
        if answers in waiting:
            waiting.pop(answers).append(one)
            continue
        rows.append([one])
        if answers in HALVES:
            waiting[answers] = rows[-1]
    return tuple(map(tuple, rows))
