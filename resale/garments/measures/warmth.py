"""Whether a thing is one for the cold or the warm half of the year, and when it is sold.

A heavy coat in June waits; the same coat in October does not. Both together, the warmth class and
the three months of the sale, form one input whose effect only the sales can teach.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from resale.garments.rulebook.readings import NOT_LOOKED_AT, Readings
from resale.garments.rulebook.rule_book import RuleBook

MONTHS = (
    "Dec to Feb",
    "Mar to May",
    "Jun to Aug",
    "Sep to Nov",
)


def seasons_of(book: RuleBook, readings: Readings, months: Sequence[int]) -> tuple[str, ...]:
    """Name the warmth class and the quarter of each item; empty where the class is not known.

    Parameters
    ----------
    months : sequence of int
        Month of sale, 1 to 12, of each item.

    Returns
    -------
    tuple of str
        Such as ``cold weather, Dec to Feb``.
    """
    warmth = _warmth(book, readings)
    quarter = np.array(months, dtype=int) % 12 // 3
    return tuple(
        f"{kind}, {MONTHS[part]}" if kind else ""
        for kind, part in zip(warmth, quarter, strict=True)
    )


def all_seasons(book: RuleBook) -> tuple[str, ...]:
    """Name every season that `seasons_of` may give."""
    kinds = dict.fromkeys(line.name for line in book.book.warmth)
    return tuple(f"{kind}, {part}" for kind in kinds for part in MONTHS)


def _warmth(book: RuleBook, readings: Readings) -> list[str]:
    """Find the class that the first fitting line of the book gives each item."""
    found = np.full(len(readings), "", dtype=object)
    place = {signal_id: column for column, signal_id in enumerate(book.signal_ids)}
    for line in reversed(book.book.warmth):
        if line.signal not in place:
            continue
        options = next(
            kind.by_id[line.signal].option_ids
            for kind in book.kinds.values()
            if line.signal in kind.by_id
        )
        wanted = [options.index(option) for option in line.options]
        codes = readings.codes[:, place[line.signal]]
        found[np.isin(codes, wanted) & (codes != NOT_LOOKED_AT)] = line.name
    return list(found)
