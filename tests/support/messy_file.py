"""A spreadsheet of past sales as a shop might keep it. All invented."""

from __future__ import annotations

import csv
import io

HEADING = ["Tag no.", "Type", "Maker", "Size mark", "Pilling", "Holes", "Till clerk", "Date in",
           "Listed", "Tag price", "Sold on", "Sold for"]  # fmt: skip

ROWS = [
    # dates in two styles, currency marks, commas before the cents, a gap for thousands
    ["A-1", "Blazer", "Vellorange", "52", "grade_4", "none", "Ann", "2026-01-05", "2026-01-07",
     "€ 48,00", "31/01/2026", "€ 48,00"],
    ["A-2", "shirts", "vellorange", "M", "", "seen 2", "Ann", "05.01.26", "7.1.26",
     "18,00", "14.2.26", "16,50 EUR"],
    ["A-3", "Jacket", "", "54", "?", "tiny", "Bo", "2026-01-05", "2026-01-08",
     "1.240,00 €", "13/02/2026", "1 240,00"],
    # the same line twice
    ["A-1", "Blazer", "Vellorange", "52", "grade_4", "none", "Ann", "2026-01-05", "2026-01-07",
     "€ 48,00", "31/01/2026", "€ 48,00"],
    # unknown kind, unknown option, ambiguous amount made plain by its column, a day of two figures
    ["A-4", "Poncho", "", "L", "", "none", "Bo", "2026-01-05", "2026-01-08", "20,00",
     "03/02/2026", "20,00"],
    ["A-5", "shirt", "", "L", "", "none", "Bo", "2026-01-05", "2026-01-08", "12,00",
     "05/02/2026", "12,00"],
    ["A-6", "shirt", "", "L", "", "tiny", "Bo", "2026-01-05", "2026-01-08", "12,00",
     "2026-02-05", "nothing"],
    ["A-7", "shirt", "", "L", "", "none", "Bo", "2026-01-05", "2026-01-08", "12,00",
     "2026-01-02", "11,00"],
    ["", "shirt", "", "S", "", "none", "Bo", "", "", "", "2026-02-06", "$9.00"],
    ["", "shirt", "", "S", "", "none", "Bo", "", "", "", "2026-02-06", "9,00"],
]  # fmt: skip


def messy_csv(rows: list[list[str]] | None = None, heading: list[str] | None = None) -> bytes:
    stream = io.StringIO()
    writer = csv.writer(stream, delimiter=";")
    writer.writerow(heading or HEADING)
    writer.writerows(ROWS if rows is None else rows)
    return stream.getvalue().encode("utf-8-sig")
