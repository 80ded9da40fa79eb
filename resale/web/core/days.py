"""Days as a browser or a device writes them."""

from __future__ import annotations

from datetime import date

from resale.errors import ReadingError


def read_day(text: str, today: date) -> date:
    """Read a day as the browser's field writes it; today where none is given.

    Parameters
    ----------
    text : str
        As the field has it: 2026-03-31, or empty.
    today : date
        In the shop's zone.

    Raises
    ------
    ReadingError
        If it is no day.
    """
    if not text.strip():
        return today
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise ReadingError(
            f"{text[:20]!r} is not a day", where="day", remedy="write it as 2026-03-31"
        ) from None
