"""Dates as people write them; which number is the day is decided for a column, never for a cell.

3/4 is one day in one shop and another across the sea. A single 31/03 in the same column tells; if
no cell tells, nothing is guessed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from typing import Literal

from babel import Locale

from resale.errors import ReadingError
from resale.storage.imports.tables.excel_days import Epoch, excel_day

First = Literal["day", "month"]

# Of the label reader; the first that has a name for a month decides what it means.
LANGUAGES = ("de", "fr", "it", "es", "pt", "nl", "sv", "pl")
EARLIEST = date(1970, 1, 1)
_TIME = r"(?:[T ]+\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?(?: ?[ap]\.?m\.?)?)?"
_NUMBERS = re.compile(
    rf"(\d{{1,4}}) ?([./-]) ?(\d{{1,2}}) ?\2 ?(\d{{1,4}})\.?{_TIME}", re.ASCII | re.IGNORECASE
)
_SERIAL = re.compile(r"(\d{5})(?:[.,]\d+)?", re.ASCII)
_RUN = re.compile(r"(\d{4})(\d{2})(\d{2})", re.ASCII)
_WITH_WORD = re.compile(
    rf"(?:(\d{{1,4}})(?:st|nd|rd|th|\.)?[ -]*)?([^\W\d_]+)\.?[ ,-]+(\d{{1,4}})"
    rf"(?:(?:st|nd|rd|th)?[ ,-]+(\d{{1,4}}))?{_TIME}",
    re.IGNORECASE,
)
_REMEDY = "write year, month and day like 2026-03-31"


@dataclass(frozen=True)
class DayStyle:
    """How a column writes dates in numbers.

    Attributes
    ----------
    first : mapping of str to ("day" or "month")
        What stands first with each mark between the numbers; a mark that tells nothing is absent.
    epoch : {1900, 1904}
        From where bare numbers of a spreadsheet count days.
    """

    first: Mapping[str, First]
    epoch: Epoch = 1900

    @classmethod
    def of(cls, texts: Iterable[str], told: First | None = None, epoch: Epoch = 1900) -> DayStyle:
        """Look at a column.

        Parameters
        ----------
        texts : iterable of str
        told : {"day", "month"}, optional
            What the user said stands first, where the column does not tell.
        epoch : {1900, 1904}
            From where its workbook counts days.
        """
        seen: dict[str, set[First]] = {}
        for text in texts:
            found = _NUMBERS.fullmatch(_plain(text))
            if found is None or len(found[1]) > 2:
                continue
            one, other = int(found[1]), int(found[3])
            if one > 12 >= other:
                seen.setdefault(found[2], set()).add("day")
            elif other > 12 >= one:
                seen.setdefault(found[2], set()).add("month")
        # Points between numbers: day first wherever they are usual (common practice, no source).
        first: dict[str, First] = {".": "day"}
        for mark in "./-":
            if len(seen.get(mark, ())) == 1:
                first[mark] = next(iter(seen[mark]))
            elif told is not None:
                first[mark] = told
            elif mark in seen:
                first.pop(mark, None)
        return cls(first, epoch)


def read_messy_day(text: str, style: DayStyle, today: date, locale: str = "en") -> date:
    """Read a date.

    Parameters
    ----------
    text : str
        In numbers, with the name of the month in the shop's own language or one of the label
        reader's, or as a spreadsheet counts days; a time of day after it is passed over.
    today : date
        A day after tomorrow is refused; years of two figures lie in the century up to next year.

    Raises
    ------
    ReadingError
        If it is no date, or could be two: then both are named.

    Examples
    --------
    >>> style = DayStyle.of(["31/03/2026"])
    >>> str(read_messy_day("4/3/26", style, date(2026, 6, 1)))
    '2026-03-04'
    """
    plain = _plain(text)
    day = (
        _from_serial(plain, style.epoch)
        or _from_numbers(plain, style, today)
        or _from_words(plain, today, locale)
    )
    if day is None:
        what = f"{plain[:40]!r} is not a date" if plain else "no date is given"
        raise ReadingError(what, remedy=_REMEDY)
    if not EARLIEST <= day <= today + timedelta(days=1):
        odd = "too long ago" if day < EARLIEST else "still to come"
        raise ReadingError(f"{day} is {odd}", remedy="look at the year, and at day and month")
    return day


def _plain(text: str) -> str:
    return " ".join(text.split())


def _from_serial(text: str, epoch: Epoch) -> date | None:
    """Read a day that a spreadsheet wrote as a number, with the time of day as its fraction."""
    found = _SERIAL.fullmatch(text)
    return excel_day(int(found[1]), epoch) if found else None


def _from_numbers(text: str, style: DayStyle, today: date) -> date | None:
    run = _RUN.fullmatch(text)
    if run:
        return _made(int(run[1]), int(run[2]), int(run[3]))
    found = _NUMBERS.fullmatch(text)
    if found is None:
        return None
    one, mark, other, last = found[1], found[2], found[3], found[4]
    if len(one) > 2:
        return _made(int(one), int(other), int(last)) if len(one) == 4 else None
    year = _year(last, today)
    if year is None:
        return None
    day_first = _made(year, int(other), int(one))
    month_first = _made(year, int(one), int(other))
    if day_first is None or month_first is None or day_first == month_first:
        return day_first or month_first
    first = style.first.get(mark)
    if first is None:
        raise ReadingError(
            f"{text[:40]} could be {day_first} or {month_first}",
            remedy="say whether the day or the month comes first, or write the year first",
        )
    return day_first if first == "day" else month_first


def _from_words(text: str, today: date, locale: str) -> date | None:
    found = _WITH_WORD.fullmatch(text)
    if found is None:
        return None
    month = _months(locale).get(found[2].casefold())
    before, after, last = found[1], found[3], found[4]
    if month is None or (before is None) == (last is None):
        return None
    if before is None:
        year, day = _year(last, today), after
    elif len(before) == 4:
        year, day = int(before), after
    else:
        year, day = _year(after, today), before
    return None if year is None else _made(year, month, int(day))


def _year(text: str, today: date) -> int | None:
    if len(text) == 4:
        return int(text)
    if len(text) != 2:
        return None
    # A shop looks back: 98 is 1998, and next year's calendar may lie on the desk already.
    year = today.year - today.year % 100 + int(text)
    return year if year <= today.year + 1 else year - 100


def _made(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None


@lru_cache(maxsize=16)
def _months(locale: str) -> Mapping[str, int]:
    names: dict[str, int] = {}
    for language in (locale, "en", *LANGUAGES):
        months = Locale.parse(language).months
        for use in ("format", "stand-alone"):
            for width in ("wide", "abbreviated"):
                for number, name in months[use][width].items():
                    names.setdefault(name.casefold().rstrip("."), number)
    return names | {"sept": 9}
