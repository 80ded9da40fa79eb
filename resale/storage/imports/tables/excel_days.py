"""Days as a spreadsheet counts them.

ECMA-376, part 1, 18.17.4.1: day 1 is 1 January 1900, and the system of 1900 counts a 29 February
1900 that never was (day 60); the system of 1904 begins with day 0 on 1 January 1904.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import Literal

from resale.errors import ReadingError

Epoch = Literal[1900, 1904]

_NEVER = 60
_FIRST = {1900: date(1899, 12, 31), 1904: date(1904, 1, 1)}
# 31 December 9999 in the system of 1900, the last that spreadsheets know.
_LAST = 2_958_465


def excel_day(serial: int, epoch: Epoch = 1900) -> date:
    """Day of a serial number.

    Parameters
    ----------
    serial : int
        Days since the epoch, as the cell holds them.
    epoch : {1900, 1904}
        From which year the workbook counts.

    Raises
    ------
    ReadingError
        If there is no such day.

    Examples
    --------
    >>> excel_day(59), excel_day(61), excel_day(44562 - 1462, 1904)
    (datetime.date(1900, 2, 28), datetime.date(1900, 3, 1), datetime.date(2022, 1, 1))
    """
    leap = epoch == 1900 and serial > _NEVER
    if not 0 <= serial <= _LAST or (epoch == 1900 and serial in (0, _NEVER)):
        raise ReadingError(f"{serial} is no day of a spreadsheet", remedy="look at the date")
    return _FIRST[epoch] + timedelta(days=serial - leap)
