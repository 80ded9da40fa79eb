"""The date mark on a ticket: the week an item went out, in plain figures.

Week of the year, a dash, last figure of the year: ``48-6`` is week 48 of a year ending in 6. It
needs no coloured tags and no key on the wall; whoever walks the rail compares it with this week's.
"""

from __future__ import annotations

import re
from datetime import date, timedelta

from resale.errors import ReadingError

_MARK = re.compile(r"\s*(\d{1,2})\s*[-–−/.]\s*(\d)\s*")


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


def week_of_mark(mark: str, today: date) -> date:
    """Give the Monday of the week that a mark names: the latest that is not after today.

    Raises
    ------
    ReadingError
        For text that is no mark, or a week that no such year has.
    """
    found = _MARK.fullmatch(mark)
    if not found:
        raise ReadingError(
            f"{mark[:20]!r} is not a date mark",
            remedy="type the week, a dash and the last figure of the year, such as 48-6",
        )
    week, figure = int(found[1]), int(found[2])
    this_year = today.isocalendar().year
    # Week 53 comes in five or six years of 28, so one figure may have to wait several decades.
    for year in range(this_year, max(this_year - 60, 0), -1):
        if year % 10 == figure and 1 <= week <= _weeks(year):
            monday = date.fromisocalendar(year, week, 1)
            if monday <= today:
                return monday
    raise ReadingError(
        f"no year ending in {figure} has a week {week}",
        remedy="look at the ticket again: weeks run from 1 to 52 or 53",
    )


def weeks_out(mark: str, today: date) -> int:
    """Give how many whole weeks ago a mark's week was."""
    monday = today - timedelta(days=today.weekday())
    return (monday - week_of_mark(mark, today)).days // 7


def _weeks(year: int) -> int:
    """Weeks of a year: the week of 28 December is always its last."""
    return date(year, 12, 28).isocalendar().week
