"""The date mark on a ticket: the week an item went out, in plain figures.

Week of the year, a dash, last figure of the year: ``48-6`` is week 48 of a year ending in 6. It
needs no coloured tags and no key on the wall; whoever walks the rail compares it with this week's.
"""

from __future__ import annotations

from datetime import date


def date_mark(day: date) -> str:
    """Write the mark of a day.

    Weeks are those of ISO 8601, so the last days of December may belong to week 1 of the next year.

    Examples
    --------
    >>> date_mark(date(2026, 11, 25))
    '48-6'
    """
    year, week, _ = day.isocalendar()
    return f"{week}-{year % 10}"
